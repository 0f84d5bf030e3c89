package conformance

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/judge/exam"
	"netagauge/internal/keep/database"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/postgrestest"
)

// crashes end the process, or the server, between two steps.
var crashes = map[string]func(*kitchen){
	"received, then a crash: the photo waits": func(k *kitchen) {
		s := k.receive(sent("a"), 1)
		k = k.crashed()
		now := must(k.list.Shot(k.Context(), s.ID))(k.TB)
		k.want(now.State, intake.Waiting)
		f := must(k.list.OpenPhoto(k.Context(), now))(k.TB)
		defer f.Close()
		k.want(bytes.Equal(must(io.ReadAll(f))(k.TB), photo(k, 1)), true)
	},
	"in the book, then a crash: it is settled afterwards": func(k *kitchen) {
		s := k.receive(sent("a"), 1)
		before, err := k.outcome(k.Context(), s)
		k.ok(err)
		k = k.crashed()
		k.want(k.counted(), "")
		after, err := k.outcome(k.Context(), s)
		k.ok(err)
		k.want(after, before)
		k.ok(k.list.Settle(k.Context(), s, after))
		k.want(k.counted(), "a")
	},
	"settled, then a crash: it counts": func(k *kitchen) {
		s := k.receive(sent("a"), 1)
		k.ok(k.measure(k.Context(), s))
		k = k.crashed()
		k.want(k.counted(), "a")
		k.want(must(k.list.Shot(k.Context(), s.ID))(k.TB).State, intake.Measured)
		k.ok(k.measure(k.Context(), s))
		k.want(k.counted(), "a")
	},
	"a second photo, then a crash: both wait": func(k *kitchen) {
		s := k.receive(sent("a"), 1)
		must(k.list.AddSecond(k.Context(), s.ID, "b.jpg", bytes.NewReader(photo(k, 2))))(k.TB)
		k = k.crashed()
		k.want(must(k.list.Shot(k.Context(), s.ID))(k.TB).Second.Counts(), true)
	},
	"signed in, then a crash: still signed in": func(k *kitchen) {
		link := must(k.accounts.NewLink(k.Context(), "Aoi"))(k.TB)
		_, token, err := k.accounts.Follow(k.Context(), link)
		k.ok(err)
		k = k.crashed()
		_, found, err := k.accounts.Session(k.Context(), token)
		k.ok(err)
		k.want(found, true)
	},
	"an exam, then a crash: its chain is whole": func(k *kitchen) {
		_, hash := k.keep("a")
		id := must(k.book.SetUpExam(k.Context(), exam.Task{Name: "Autumn", Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi"}))(k.TB)
		k = k.crashed()
		_, _, err := k.book.CheckExam(k.Context(), id)
		k.ok(err)
	},
	"in the middle of an act, a crash: nothing of it": func(k *kitchen) {
		_, hash := k.keep("a")
		id := must(k.book.SetUpExam(k.Context(), exam.Task{Name: "Autumn", Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi"}))(k.TB)
		var then *kitchen
		tries := 0
		err := k.book.ExamAct(k.Context(), id, func(*exam.Exam) (exam.Act, error) {
			if tries++; tries == 1 {
				then = k.crashed()
			}
			return exam.Act{Kind: exam.Begun, By: "Mori"}, nil
		})
		k.ok(err) // on a server it was done again; here it is done now, and not in what the crash left
		_, record, err := then.book.CheckExam(k.Context(), id)
		k.ok(err)
		if k.dir != "" {
			k.want(len(record), 2)
		} else {
			k.want(len(record), 3)
			k.want(tries, 2)
		}
	},
	"crashes while phones send: all that was said is there": func(k *kitchen) {
		var mu sync.Mutex
		said := map[string]int{}
		stop, done := context.WithCancel(k.Context())
		var g errgroup.Group
		for w := range 3 {
			g.Go(func() error {
				for i := 0; stop.Err() == nil && i < 30; i++ {
					n := 100*w + i
					s, err := k.list.Receive(k.Context(), sent(fmt.Sprint("phone ", w)), bytes.NewReader(photo(k, n)))
					if errors.Is(err, database.ErrUnsure) || errors.Is(err, database.ErrAway) {
						continue // the phone was told so
					}
					if err != nil {
						return err
					}
					mu.Lock()
					said[s.ID] = n
					mu.Unlock()
				}
				return nil
			})
		}
		time.Sleep(100 * time.Millisecond)
		for range 2 {
			if k.dir == "" {
				s := postgrestest.Start(k)
				s.Crash(k)
				s.Again(k)
				time.Sleep(100 * time.Millisecond)
			}
		}
		done()
		k.ok(g.Wait())
		after := k.crashed()
		for id, n := range said {
			s := must(after.list.Shot(k.Context(), id))(k.TB)
			f := must(after.list.OpenPhoto(k.Context(), s))(k.TB)
			k.want(bytes.Equal(must(io.ReadAll(f))(k.TB), photo(k, n)), true)
			f.Close()
		}
		k.want(len(must(after.list.List(k.Context(), intake.Filter{}))(k.TB)) >= len(said), true)
	},
}
