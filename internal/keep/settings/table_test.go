package settings_test

import (
	"errors"
	"testing"

	"netagauge/internal/keep/database"
	"netagauge/internal/keep/postgrestest"
	"netagauge/internal/keep/settings"
	"netagauge/internal/keep/settings/settingstest"
)

func TestMain(m *testing.M) { postgrestest.Main(m) }

// schema is a new place, and the server that it is on as often as it is asked for.
func schema(t *testing.T) func() database.Place {
	server := postgrestest.Start(t)
	name := server.Schema(t)
	return func() database.Place {
		s, err := database.Connect(t.Context(), server.URL())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(s.Close)
		return s.Schema(name)
	}
}

func TestTable(t *testing.T) {
	settingstest.Run(t, func(t *testing.T) (settings.Texts, func() settings.Texts) {
		at := schema(t)
		open := func() settings.Texts {
			s, err := settings.OpenAt(t.Context(), at())
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { s.Close() })
			return s
		}
		return open(), open
	})
}

func TestHalfMovedIsNotOpened(t *testing.T) {
	at := schema(t)()
	s, err := settings.OpenUnfinished(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.BeginMoving(t.Context(), "kitchen"); err != nil {
		t.Fatal(err)
	}
	if from, err := s.Moving(t.Context()); err != nil || from != "kitchen" {
		t.Errorf("moved is %q, %v", from, err)
	}
	if _, err := settings.OpenAt(t.Context(), at); !errors.Is(err, settings.ErrMoving) {
		t.Errorf("half moved, it opens: %v", err)
	}
	if err := s.EndMoving(t.Context()); err != nil {
		t.Fatal(err)
	}
	whole, err := settings.OpenAt(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	whole.Close()
}
