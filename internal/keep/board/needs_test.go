package board

import (
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/grade"
	"netagauge/internal/judge/standard"
)

// tray is a photo of ten slices of which so many are too short, and others too wide.
func tray(short, wide int) Photo {
	var p Photo
	low, high := 75.0, 38.0
	for i := range 10 {
		s := grade.Slice{Piece: piece.Piece{Number: i + 1, State: piece.Measured, Verdict: piece.Pass}}
		if i < short {
			s.Verdict, s.Faults = piece.Fail, []piece.Fault{{What: "length", Measured: 70, Low: &low}}
		} else if i < short+wide {
			s.Verdict, s.Faults = piece.Fail, []piece.Fault{{What: "width", Measured: 42, High: &high}}
		}
		p.Slices = append(p.Slices, s)
		p.Count.Add(s.Verdict)
	}
	return p
}

// Who needs the teacher: nobody before two refused photos, then the same fault three
// times, then worse than before, then half a tray or one
// that is not whole; who does well is left alone.
func TestNeeds(t *testing.T) {
	refused := Photo{Refused: true, Problem: phrase.Of("p-blurred")}
	hiding := tray(1, 0)
	hiding.Count.NotMeasured = 2
	b := Board{Trainees: []Trainee{
		{Name: "hiding", Photos: []Photo{hiding}}, {Name: "heap", Photos: []Photo{{Count: piece.Count{NotMeasured: 5}}}},
		{Name: "fine", Photos: []Photo{tray(1, 0)}}, {Name: "half", Photos: []Photo{tray(0, 5)}}, {Name: "absent"},
		{Name: "stuck", Photos: []Photo{tray(4, 0), tray(3, 1), tray(4, 0)}}, {Name: "once", Photos: []Photo{tray(2, 0), refused}},
		{Name: "worse", Photos: []Photo{tray(1, 0), tray(2, 2)}}, {Name: "shut", Photos: []Photo{refused, refused}},
	}}
	b.Ticket.Standard = standard.Default()
	want := []struct{ name, says, fault string }{
		{"shut", "photo refused twice: the photo is blurred", ""}, {"stuck", "too short, third tray in a row", "short"},
		{"worse", "too short, getting worse", "short"}, {"hiding", "2 slices not measured", ""}, {"heap", "5 slices not measured", ""},
		{"half", "5 of 10 slices too wide", "wide"},
	}
	got := b.Needs()
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i, w := range want {
		if says := phrase.English().Must(got[i].Why); got[i].Trainee != w.name || says != w.says || string(got[i].Fault) != w.fault {
			t.Errorf("%d: %s, %q, %s; want %v", i, got[i].Trainee, says, got[i].Fault, w)
		}
	}
}
