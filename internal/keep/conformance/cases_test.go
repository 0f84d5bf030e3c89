package conformance

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"golang.org/x/sync/errgroup"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/exam"
	"netagauge/internal/judge/eye"
	"netagauge/internal/judge/task"
	"netagauge/internal/judge/yield"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/book"
	"netagauge/internal/keep/intake"
)

func print(v any) string { return fmt.Sprintf("%v", v) }

func TestRecord(t *testing.T) {
	for _, cases := range []map[string]func(*kitchen){ordering, limits, texts, times, meeting, crashes} {
		for name, run := range cases {
			t.Run(name, func(t *testing.T) { run(newKitchen(t)) })
		}
	}
}

// mixed are names whose order by bytes is none of a language's: capitals, small letters,
// an accent, kana, kanji, a letter beyond the first plane.
var mixed = []string{"鮪", "b", "Ä", "a", "𠮷野", "B", "マグロ", "ab", "まぐろ", "10", "9", " x", "A"}

const byBytes = "[ x 10 9 A B a ab b Ä まぐろ マグロ 鮪 𠮷野]"

var ordering = map[string]func(*kitchen){
	"lines come by bytes": func(k *kitchen) {
		id, _ := k.keep("a")
		for _, name := range mixed {
			_, _, err := k.book.AddSpotCheck(k.Context(), book.SpotCheck{Result: id, Line: name, CheckedAt: monday})
			k.ok(err)
		}
		k.want(must(k.book.Lines(k.Context()))(k.TB), byBytes)
	},
	"files of a run come by bytes": func(k *kitchen) {
		id, hash := k.keep("a")
		run := must(k.book.Begin(k.Context(), "Monday", monday, hash, program))(k.TB)
		var entries []book.Entry
		for _, name := range mixed {
			entries = append(entries, book.Entry{Result: id, File: name, LabelFrom: "mat", Trainee: name})
		}
		k.ok(k.book.Finish(k.Context(), run.ID, entries))
		var files, trainees []string
		for _, e := range must(k.book.Entries(k.Context(), run.ID))(k.TB) {
			files, trainees = append(files, e.File), append(trainees, e.Trainee)
		}
		k.want(files, byBytes)
		k.want(trainees, byBytes)
	},
	"tasks of one moment come by bytes": func(k *kitchen) {
		for range 3 { // all of them in one second
			for _, name := range mixed {
				k.ok(k.book.SetTask(k.Context(), task.Task{Name: name, Slices: 1}))
			}
		}
		var names []string
		for _, x := range must(k.book.Tasks(k.Context()))(k.TB) {
			names = append(names, x.Name)
		}
		k.want(len(names), len(mixed))
	},
	"classes come by day, then by bytes": func(k *kitchen) {
		for _, name := range mixed {
			k.ok(k.list.SetSession(k.Context(), intake.Session{Kind: intake.Class, Name: name, HeldOn: monday.AddDate(0, 0, -1), Ticket: told()}))
		}
		names := must(k.list.ClassNames(k.Context(), "", 0, 100))(k.TB)
		k.want(names[0], "Monday")
		k.want(must(k.list.ClassNames(k.Context(), "Monday", 1, 3))(k.TB), print(must(k.list.ClassNames(k.Context(), "Monday", 0, 100))(k.TB)[1:4]))
	},
	"passcodes come by role, then by bytes": func(k *kitchen) {
		for _, name := range []string{"b", "鮪", "B"} {
			must(k.accounts.AddPasscode(k.Context(), account.Chef, name))(k.TB)
		}
		must(k.accounts.AddPasscode(k.Context(), account.Instructor, "z"))(k.TB)
		var names []string
		for _, p := range must(k.accounts.Passcodes(k.Context()))(k.TB) {
			names = append(names, p.Name)
		}
		k.want(names, "[z B b 鮪]")
	},
	"names that phones took come by bytes": func(k *kitchen) {
		code := must(k.accounts.ClassCode(k.Context()))(k.TB)
		for _, name := range mixed {
			_, _, err := k.accounts.Join(k.Context(), code, name, account.Session{})
			k.ok(err)
		}
		k.want(must(k.accounts.Taken(k.Context()))(k.TB), byBytes)
	},
	"checks of one second come by their ID": func(k *kitchen) {
		var want []int64
		for i := range 5 {
			id, _ := k.keep(fmt.Sprint(i))
			check, _, err := k.book.AddSpotCheck(k.Context(), book.SpotCheck{Result: id, Line: "lunch", CheckedAt: monday})
			k.ok(err)
			want = append(want, check)
		}
		var got []int64
		for _, c := range must(k.book.SpotChecks(k.Context(), "lunch", book.Span{}))(k.TB) {
			got = append(got, c.ID)
		}
		k.want(got, want)
	},
	"hand-overs and guesses of one second come by their ID": func(k *kitchen) {
		for i := range 4 {
			must(k.book.AddHandover(k.Context(), book.Handover{Line: "lunch", By: fmt.Sprint(i), MadeAt: monday}))(k.TB)
			k.ok(k.book.AddGuess(k.Context(), eye.Guess{ID: fmt.Sprint(i), By: "a", At: monday}))
		}
		var by, ids []string
		for _, h := range must(k.book.Handovers(k.Context(), "lunch", 3))(k.TB) {
			by = append(by, h.By)
		}
		for _, g := range must(k.book.Guesses(k.Context(), "a", monday, 3))(k.TB) {
			ids = append(ids, g.ID)
		}
		k.want(by, "[3 2 1]")
		k.want(ids, "[1 2 3]")
	},
	"blocks that are open come with the last that were closed": func(k *kitchen) {
		for i := range 6 {
			id := must(k.book.OpenBlock(k.Context(), yield.Block{Species: fmt.Sprint(i), Grams: 600, OpenedAt: monday.Add(time.Duration(i) * time.Hour)}))(k.TB)
			if i%2 == 0 {
				k.ok(k.book.CloseBlock(k.Context(), yield.Block{ID: id, Species: fmt.Sprint(i), Grams: 600, OpenedAt: monday, ClosedAt: monday.AddDate(0, 0, 1)}))
			}
		}
		var names []string
		for _, b := range must(k.book.Blocks(k.Context(), 2))(k.TB) {
			names = append(names, b.Species)
		}
		k.want(names, "[5 4 3 2 1]")
	},
	"photos come as they were received": func(k *kitchen) {
		var want, got []string
		for i := range 4 {
			want = append(want, k.receive(sent(fmt.Sprint(4-i)), i).ID)
		}
		for _, s := range must(k.list.List(k.Context(), intake.Filter{}))(k.TB) {
			got = append(got, s.ID)
		}
		k.want(got, want)
	},
	"the last run of a class is its history": func(k *kitchen) {
		id, hash := k.keep("a")
		for _, version := range []string{"v1", "v2", "v3"} {
			run := must(k.book.Begin(k.Context(), "Monday", monday, hash, version))(k.TB)
			if version != "v3" {
				k.ok(k.book.Finish(k.Context(), run.ID, []book.Entry{{Result: id, File: version, LabelFrom: "mat", Trainee: "a"}}))
			}
		}
		runs := must(k.book.History(k.Context(), monday))(k.TB)
		k.want(len(runs), 1)
		k.want(must(k.book.Entries(k.Context(), runs[0].ID))(k.TB)[0].File, "v2")
		k.want(len(must(k.book.History(k.Context(), monday.AddDate(0, 0, -1)))(k.TB)), 0)
	},
}

var limits = map[string]func(*kitchen){
	"nothing asked for is nothing": func(k *kitchen) {
		k.want(len(must(k.book.Reports(k.Context(), nil))(k.TB)), 0)
		k.want(len(must(k.book.Labels(k.Context(), nil))(k.TB)), 0)
		k.want(len(must(k.book.Remarks(k.Context(), "lunch", nil))(k.TB)), 0)
		k.want(len(must(k.list.List(k.Context(), intake.Filter{IDs: []string{"none"}}))(k.TB)), 0)
	},
	"keeping only nobody ends all": func(k *kitchen) {
		link := must(k.accounts.NewLink(k.Context(), "Aoi"))(k.TB)
		k.ok(k.accounts.KeepOnly(k.Context(), nil))
		_, err := k.accounts.LinkOf(k.Context(), link)
		k.want(errors.Is(err, account.ErrWrong), true)
	},
	"thousands are asked for at once": func(k *kitchen) {
		id, _ := k.keep("a")
		ids := make([]int64, 5000)
		names := make([]string, 5000)
		for i := range ids {
			ids[i], names[i] = id+int64(i), fmt.Sprint(i)
		}
		k.want(len(must(k.book.Reports(k.Context(), ids))(k.TB)), 1)
		k.ok(k.accounts.KeepOnly(k.Context(), names))
	},
	"a filter of everything": func(k *kitchen) {
		a, b, c := k.receive(sent("a"), 1), k.receive(sent("b"), 2), k.receive(sent("a"), 3)
		got := must(k.list.List(k.Context(), intake.Filter{Owner: a.Owner, Kind: intake.Class, Session: "Monday", States: []intake.State{intake.Waiting, intake.Failed},
			IDs: []string{a.ID, b.ID, c.ID}, Last: 1, Before: c.Number}))(k.TB)
		k.want(len(got), 1)
		k.want(got[0].ID, a.ID)
	},
	"pages of exams": func(k *kitchen) {
		_, hash := k.keep("a")
		for i := range 5 {
			must(k.book.SetUpExam(k.Context(), exam.Task{Name: fmt.Sprint(i), Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi"}))(k.TB)
		}
		var names []string
		for _, e := range must(k.book.Exams(k.Context(), 1, 2))(k.TB) {
			names = append(names, e.Name)
		}
		k.want(names, "[3 2]")
	},
	"checks before one, since a time, so many": func(k *kitchen) {
		var ids []int64
		for i := range 5 {
			id, _ := k.keep(fmt.Sprint(i))
			check, _, err := k.book.AddSpotCheck(k.Context(), book.SpotCheck{Result: id, Line: "lunch", CheckedAt: monday.Add(time.Duration(i/2) * time.Hour)})
			k.ok(err)
			ids = append(ids, check)
		}
		pick := func(w book.Span) (out []int64) {
			for _, c := range must(k.book.SpotChecks(k.Context(), "lunch", w))(k.TB) {
				out = append(out, c.ID)
			}
			return out
		}
		k.want(pick(book.Span{Before: ids[3]}), ids[:3])
		k.want(pick(book.Span{Before: ids[3], Last: 2}), ids[1:3])
		k.want(pick(book.Span{Since: monday.Add(time.Hour)}), ids[2:])
		k.want(pick(book.Span{Before: math.MaxInt64}), "[]")
	},
	"an owner has so many waiting": func(k *kitchen) {
		k.list.Limits.Each = 2
		k.receive(sent("a"), 1)
		k.receive(sent("a"), 2)
		_, err := k.list.Receive(k.Context(), sent("a"), bytes.NewReader(photo(k, 3)))
		k.want(errors.Is(err, intake.ErrBusy), true)
		k.receive(sent("b"), 4)
	},
	"numbers to the last digit": func(k *kitchen) {
		for i, x := range []float64{math.Pi, 1e-300, math.MaxFloat64, 0.1 + 0.2, 5e-324} {
			g := eye.Guess{ID: fmt.Sprint(i), By: "a", Guess: x, Truth: -x, U: x / 3, Within: 0, At: monday}
			k.ok(k.book.AddGuess(k.Context(), g))
			back, found, err := k.book.Guess(k.Context(), "a", g.ID)
			k.ok(err)
			k.want(found, true)
			k.want([]float64{back.Guess, back.Truth, back.U}, []float64{g.Guess, g.Truth, g.U})
		}
	},
	"pictures of many megabytes": func(k *kitchen) {
		_, hash := k.keep("a")
		jpeg := make([]byte, 12<<20)
		for i := range jpeg {
			jpeg[i] = byte(i * i >> 7)
		}
		id := must(k.book.Keep(k.Context(), book.Key{Photo: book.Hash(jpeg), Ticket: hash, Program: program}, report("large"), book.Pictures{Annotated: jpeg, View: jpeg[1:]}))(k.TB)
		k.want(bytes.Equal(must(k.book.Picture(k.Context(), id))(k.TB), jpeg), true)
		k.want(bytes.Equal(must(k.book.View(k.Context(), id))(k.TB), jpeg[1:]), true)
		k.want(must(k.book.Viewed(k.Context(), id))(k.TB), true)
	},
	"a report of thousands of pieces": func(k *kitchen) {
		_, hash := k.keep("a")
		r := report("many")
		for i := range 3000 {
			p := r.Pieces[0]
			p.Number = i + 2
			r.Pieces = append(r.Pieces, p)
		}
		id := must(k.book.Keep(k.Context(), book.Key{Photo: book.Hash([]byte("many")), Ticket: hash, Program: program}, r, book.Pictures{}))(k.TB)
		k.want(len(must(k.book.Report(k.Context(), id))(k.TB).Pieces), 3001)
	},
}

var texts = map[string]func(*kitchen){
	"any text comes back": func(k *kitchen) {
		for i, s := range []string{"'", `"`, `\`, "$1", "?", "%_", ";--", "\ta\n", "ÀÈÌ", "e\u0301", "鮪の握り", "🍣", strings.Repeat("長", 300)} {
			hash := fmt.Sprintf("%064d", i)
			k.ok(k.book.AddRemark(k.Context(), s, book.Remark{Photo: hash, Who: s, Says: s}))
			got := must(k.book.Remarks(k.Context(), s, []string{hash}))(k.TB)[hash]
			k.want(len(got), 1)
			k.want(got[0].Who+got[0].Says, s+s)
		}
	},
	"case and accents are told apart": func(k *kitchen) {
		for _, name := range []string{"Aoi", "aoi", "AOI", "Aoí", "Aoi\u0301", "アオイ", "あおい"} {
			must(k.accounts.NewLink(k.Context(), name))(k.TB)
		}
		k.want(len(must(k.accounts.Linked(k.Context()))(k.TB)), 7)
	},
	"a NUL in a name": func(k *kitchen) {
		s := sent("a\x00b")
		s.Name, s.Who = "IMG\x00.jpg", "A\x00B"
		got := k.receive(s, 1)
		back := must(k.list.Shot(k.Context(), got.ID))(k.TB)
		k.want(back.Name+back.Who, "IMG\uFFFD.jpgA\uFFFDB")
		k.want(len(must(k.list.List(k.Context(), intake.Filter{Owner: s.Owner}))(k.TB)), 1)
		k.want(k.receive(s, 1).ID, got.ID)
	},
	"what is no UTF-8": func(k *kitchen) {
		k.ok(k.book.AddRemark(k.Context(), "lunch\xff", book.Remark{Photo: "x", Who: "\xfe", Says: "knife\xc3"}))
		got := must(k.book.Remarks(k.Context(), "lunch\xff", []string{"x"}))(k.TB)["x"]
		k.want(got[0].Who+got[0].Says, "\uFFFDknife\uFFFD")
	},
	"a long remark": func(k *kitchen) {
		says := strings.Repeat("the knife was turned after every slice; ", 25_000)
		k.ok(k.book.AddRemark(k.Context(), "lunch", book.Remark{Photo: "x", Says: says}))
		k.want(must(k.book.Remarks(k.Context(), "lunch", []string{"x"}))(k.TB)["x"][0].Says == says, true)
	},
	"an empty name is a name, none is none": func(k *kitchen) {
		id, hash := k.keep("a")
		run := must(k.book.Begin(k.Context(), "Monday", monday, hash, program))(k.TB)
		k.ok(k.book.Finish(k.Context(), run.ID, []book.Entry{{Result: id, File: "", LabelFrom: "mat", Note: phrase.Of("note-copy")}}))
		got := must(k.book.Entries(k.Context(), run.ID))(k.TB)
		k.want(got[0].Trainee+got[0].File, "")
		k.want(phrase.English().Must(got[0].Note) != "", true)
	},
}

var times = map[string]func(*kitchen){
	"a time of any zone is its moment": func(k *kitchen) {
		tokyo := time.FixedZone("JST", 9*3600)
		at := time.Date(2026, 11, 23, 0, 30, 0, 0, tokyo) // the day before in UTC
		id, _ := k.keep("a")
		_, _, err := k.book.AddSpotCheck(k.Context(), book.SpotCheck{Result: id, Line: "lunch", CheckedAt: at})
		k.ok(err)
		got := must(k.book.SpotChecks(k.Context(), "lunch", book.Span{Since: at}))(k.TB)
		k.want(len(got), 1)
		k.want(got[0].CheckedAt.Equal(at), true)
		k.want(len(must(k.book.SpotChecks(k.Context(), "lunch", book.Span{Since: at.Add(time.Second)}))(k.TB)), 0)
	},
	"a class is on its day, whatever the zone": func(k *kitchen) {
		day := time.Date(2026, 11, 24, 0, 0, 0, 0, time.FixedZone("JST", 9*3600))
		k.ok(k.list.SetSession(k.Context(), intake.Session{Kind: intake.Class, Name: "Tuesday", HeldOn: day, Ticket: told()}))
		k.want(must(k.list.Session(k.Context(), intake.Class, "Tuesday"))(k.TB).HeldOn.Format(time.DateOnly), "2026-11-24")
	},
	"when a photo was received, to the nanosecond": func(k *kitchen) {
		got := k.receive(sent("a"), 1)
		k.want(must(k.list.Shot(k.Context(), got.ID))(k.TB).Received.Equal(got.Received), true)
	},
	"a signed-in browser knows its end": func(k *kitchen) {
		link := must(k.accounts.NewLink(k.Context(), "Aoi"))(k.TB)
		s, token, err := k.accounts.Follow(k.Context(), link)
		k.ok(err)
		back, found, err := k.accounts.Session(k.Context(), token)
		k.ok(err)
		k.want(found, true)
		k.want(back.Expires.Unix(), s.Expires.Unix())
	},
}

var errStop = errors.New("stop")

var meeting = map[string]func(*kitchen){
	"one ticket": func(k *kitchen) {
		first := must(k.book.Ticket(k.Context(), told()))(k.TB)
		k.want(atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			hash, err := k.book.Ticket(ctx, told())
			return hash == first, err
		}), 4)
	},
	"one result": func(k *kitchen) {
		hash, ids := must(k.book.Ticket(k.Context(), told()))(k.TB), make(chan int64, 4)
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			id, err := k.book.Keep(ctx, book.Key{Photo: "p", Ticket: hash, Program: program}, report("a"), book.Pictures{})
			ids <- id
			return true, err
		})
		first := <-ids
		for range 3 {
			k.want(<-ids, first)
		}
	},
	"one run": func(k *kitchen) {
		hash, ids := must(k.book.Ticket(k.Context(), told()))(k.TB), make(chan int64, 4)
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			run, err := k.book.Begin(ctx, "Tuesday", monday, hash, program)
			ids <- run.ID
			return true, err
		})
		first := <-ids
		for range 3 {
			k.want(<-ids, first)
		}
	},
	"one spot check": func(k *kitchen) {
		id, _ := k.keep("a")
		k.want(atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			_, added, err := k.book.AddSpotCheck(ctx, book.SpotCheck{Result: id, Line: "lunch", CheckedAt: monday})
			return added, err
		}), 1)
	},
	"one trainee": func(k *kitchen) {
		id, hash := k.keep("a")
		run := must(k.book.Begin(k.Context(), "Tuesday", monday, hash, program))(k.TB)
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			return true, k.book.Enter(ctx, run.ID, nil, []book.Entry{{Result: id, File: "a", LabelFrom: "mat", Trainee: "Aoi"}})
		})
		k.want(len(must(k.book.Entries(k.Context(), run.ID))(k.TB)), 1)
	},
	"one word about a slice": func(k *kitchen) {
		k.keep("a")
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			return true, k.book.Override(ctx, book.Hash([]byte("a")), piece.Override{Piece: 1, Kind: piece.CountIt, Reason: "butterflied"})
		})
		k.want(len(must(k.book.Overrides(k.Context(), book.Hash([]byte("a"))))(k.TB)), 1)
	},
	"one exam of a name": func(k *kitchen) {
		_, hash := k.keep("a")
		k.want(atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			_, err := k.book.SetUpExam(ctx, exam.Task{Name: "Autumn", Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi", "Bo"})
			if _, there := phrase.In(phrase.English(), err); there {
				return false, nil
			}
			return err == nil, err
		}), 1)
		k.want(len(must(k.book.Exams(k.Context(), 0, 9))(k.TB)), 1)
	},
	"an exam's row of acts stays whole": func(k *kitchen) {
		result, hash := k.keep("a")
		id := must(k.book.SetUpExam(k.Context(), exam.Task{Name: "Autumn", Ticket: hash, Trays: 4, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi"}))(k.TB)
		k.ok(k.book.ExamAct(k.Context(), id, func(*exam.Exam) (exam.Act, error) { return exam.Act{Kind: exam.Begun, By: "Mori"}, nil }))
		_, number, _, err := k.book.ExamOf(k.Context(), "Aoi")
		k.ok(err)
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			for place := 1; place <= 4; place++ {
				if err := k.book.SendTray(ctx, id, number, place, result, time.Now()); err != nil {
					return false, err
				}
			}
			return true, nil
		})
		e, _, err := k.book.CheckExam(k.Context(), id)
		k.ok(err)
		k.want(len(e.Trays), 4)
	},
	"what may not follow in an exam leaves nothing": func(k *kitchen) {
		_, hash := k.keep("a")
		id := must(k.book.SetUpExam(k.Context(), exam.Task{Name: "Autumn", Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi"}))(k.TB)
		err := k.book.ExamAct(k.Context(), id, func(*exam.Exam) (exam.Act, error) { return exam.Act{}, errStop })
		k.want(errors.Is(err, errStop), true)
		_, record, err := k.book.CheckExam(k.Context(), id)
		k.ok(err)
		k.want(len(record), 2)
	},
	"grades that others overtook do not hold": func(k *kitchen) {
		id, hash := k.keep("a")
		run := must(k.book.Begin(k.Context(), "Earlier", monday.AddDate(0, 0, -7), hash, program))(k.TB)
		k.ok(k.book.Finish(k.Context(), run.ID, []book.Entry{{Result: id, File: "a", LabelFrom: "mat", Trainee: "Aoi"}}))
		later := book.Run{HeldOn: monday}
		stale := must(k.book.Ungraded(k.Context(), later))(k.TB)
		k.ok(k.other().book.SetPace(k.Context(), run.Session, "Aoi", 12))
		k.ok(k.book.KeepGrades(k.Context(), stale[0], map[string]float64{"Aoi": 70}))
		k.want(len(must(k.book.Grades(k.Context(), later, ""))(k.TB)), 0)
		now := must(k.book.Ungraded(k.Context(), later))(k.TB)
		k.want(len(now), 1)
		k.ok(k.book.KeepGrades(k.Context(), now[0], map[string]float64{"Aoi": 80}))
		k.want(must(k.book.Grades(k.Context(), later, "Aoi"))(k.TB)[0].Percent, 80)
		k.want(len(must(k.book.Ungraded(k.Context(), later))(k.TB)), 0)
	},
	"one phone has a name": func(k *kitchen) {
		code := must(k.accounts.ClassCode(k.Context()))(k.TB)
		k.want(atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			_, _, err := k.accounts.Join(ctx, code, "Aoi", account.Session{})
			if errors.Is(err, account.ErrTaken) {
				return false, nil
			}
			return err == nil, err
		}), 1)
	},
	"one passcode of a name": func(k *kitchen) {
		k.want(atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			_, err := k.accounts.AddPasscode(ctx, account.Chef, "Mori")
			if _, there := phrase.In(phrase.English(), err); there {
				return false, nil
			}
			return err == nil, err
		}), 1)
	},
	"the last instructor stays": func(k *kitchen) {
		for _, name := range []string{"a", "b"} {
			must(k.accounts.AddPasscode(k.Context(), account.Instructor, name))(k.TB)
		}
		all := must(k.accounts.Passcodes(k.Context()))(k.TB)
		which := make(chan int64, 4)
		for i := range 4 {
			which <- all[i%2].ID
		}
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			_, err := k.accounts.RemovePasscode(ctx, <-which)
			if _, last := phrase.In(phrase.English(), err); last {
				return false, nil
			}
			return err == nil, err
		})
		k.want(len(must(k.accounts.Passcodes(k.Context()))(k.TB)), 1)
	},
	"one class code": func(k *kitchen) {
		codes := make(chan string, 4)
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			code, err := k.accounts.NewClassCode(ctx)
			codes <- code
			return true, err
		})
		now := must(k.accounts.ClassCode(k.Context()))(k.TB)
		found := false
		for range 4 {
			found = found || <-codes == now
		}
		k.want(found, true)
	},
	"a photo sent twice at once is one": func(k *kitchen) {
		ids := make(chan string, 4)
		atOnce(k, func(ctx context.Context, o *kitchen) (bool, error) {
			s, err := o.list.Receive(ctx, sent("a"), bytes.NewReader(photo(k, 1)))
			ids <- s.ID
			return true, err
		})
		first := <-ids
		for range 3 {
			k.want(<-ids, first)
		}
		k.want(len(must(k.list.List(k.Context(), intake.Filter{}))(k.TB)), 1)
		f := must(k.list.OpenPhoto(k.Context(), intake.Shot{ID: first, Format: "jpg"}))(k.TB)
		defer f.Close()
		k.want(bytes.Equal(must(io.ReadAll(f))(k.TB), photo(k, 1)), true)
	},
	"each waiting photo is taken once": func(k *kitchen) {
		for i := range 6 {
			k.receive(sent(fmt.Sprint(i)), i)
		}
		ids := make(chan string, 20)
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) {
			for {
				s, found, err := k.list.Next(ctx)
				if err != nil || !found {
					return true, err
				}
				ids <- s.ID
			}
		})
		close(ids)
		once := map[string]bool{}
		for id := range ids {
			if once[id] {
				k.Errorf("%s was taken twice", id)
			}
			once[id] = true
		}
		k.want(len(once), 6)
	},
	"copies that are settled at once count once": func(k *kitchen) {
		shots := make(chan intake.Shot, 4)
		for i := range 4 {
			shots <- k.receive(sent(string(rune('a'+i))), 1)
		}
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) { return true, k.measure(ctx, <-shots) })
		k.want(k.counted(), "a")
	},
	"a shot settled by two is entered once": func(k *kitchen) {
		s := k.receive(sent("a"), 1)
		atOnce(k, func(ctx context.Context, k *kitchen) (bool, error) { return true, k.measure(ctx, s) })
		k.want(k.counted(), "a")
		k.want(must(k.list.Shot(k.Context(), s.ID))(k.TB).State, intake.Measured)
	},
	"asked for anew while it is measured, it waits": func(k *kitchen) {
		s := k.receive(sent("a"), 1)
		thick := told()
		thick.Thickness = "4.2"
		must(k.other().list.Again(k.Context(), s.ID, thick))(k.TB)
		k.ok(k.measure(k.Context(), s))
		now := must(k.list.Shot(k.Context(), s.ID))(k.TB)
		k.want(now.State, intake.Waiting)
		k.want(now.Turn, 1)
		k.ok(k.measure(k.Context(), now))
		k.want(must(k.list.Shot(k.Context(), s.ID))(k.TB).State, intake.Measured)
	},
	"a second photo at once with another's": func(k *kitchen) {
		s := k.receive(sent("a"), 1)
		atOnce(k, func(ctx context.Context, o *kitchen) (bool, error) {
			_, err := o.list.AddSecond(ctx, s.ID, "b.jpg", bytes.NewReader(photo(k, 2)))
			return true, err
		})
		now := must(k.list.Shot(k.Context(), s.ID))(k.TB)
		k.want(now.Turn, 1)
		k.want(now.Second.Counts(), true)
	},
	"readers do not wait for a writer": func(k *kitchen) {
		_, hash := k.keep("a")
		id := must(k.book.SetUpExam(k.Context(), exam.Task{Name: "Autumn", Ticket: hash, Trays: 1, Slices: 1, Minutes: 30, Mark: 0.8}, "Mori", []string{"Aoi"}))(k.TB)
		inside, done := make(chan struct{}, 40), make(chan struct{})
		var g errgroup.Group
		g.Go(func() error {
			return k.book.ExamAct(k.Context(), id, func(*exam.Exam) (exam.Act, error) {
				inside <- struct{}{}
				<-done
				return exam.Act{}, book.ErrNothing
			})
		})
		<-inside
		must(k.book.Exams(k.Context(), 0, 1))(k.TB)
		must(k.other().book.Lines(k.Context()))(k.TB)
		close(done)
		k.ok(g.Wait())
	},
	"a name that ends ends what came in with it": func(k *kitchen) {
		must(k.accounts.AddPasscode(k.Context(), account.Instructor, "z"))(k.TB)
		code := must(k.accounts.AddPasscode(k.Context(), account.Chef, "Mori"))(k.TB)
		_, token, err := k.accounts.SignIn(k.Context(), "Mori", code)
		k.ok(err)
		for _, p := range must(k.accounts.Passcodes(k.Context()))(k.TB) {
			if p.Name == "Mori" {
				must(k.other().accounts.RemovePasscode(k.Context(), p.ID))(k.TB)
			}
		}
		_, found, err := k.accounts.Session(k.Context(), token)
		k.ok(err)
		k.want(found, false)
	},
}
