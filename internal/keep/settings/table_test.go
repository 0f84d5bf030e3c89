package settings_test

import (
	"errors"
	"testing"

	"netagauge/internal/core/fatal"
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
		fatal.If(t, err)
		t.Cleanup(s.Close)
		return s.Schema(name)
	}
}

func TestTable(t *testing.T) {
	settingstest.Run(t, func(t *testing.T) (settings.Texts, func() settings.Texts) {
		at := schema(t)
		open := func() settings.Texts {
			s, err := settings.OpenAt(t.Context(), at())
			fatal.If(t, err)
			t.Cleanup(func() { s.Close() })
			return s
		}
		return open(), open
	})
}

func TestHalfMovedIsNotOpened(t *testing.T) {
	at := schema(t)()
	s, err := settings.OpenUnfinished(t.Context(), at)
	fatal.If(t, err)
	defer s.Close()
	fatal.If(t, s.BeginMoving(t.Context(), "kitchen"))
	if from, err := s.Moving(t.Context()); err != nil || from != "kitchen" {
		t.Errorf("moved is %q, %v", from, err)
	}
	if _, err := settings.OpenAt(t.Context(), at); !errors.Is(err, settings.ErrMoving) {
		t.Errorf("half moved, it opens: %v", err)
	}
	fatal.If(t, s.EndMoving(t.Context()))
	whole, err := settings.OpenAt(t.Context(), at)
	fatal.If(t, err)
	whole.Close()
}
