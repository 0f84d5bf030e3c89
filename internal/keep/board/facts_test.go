package board

import (
	"testing"

	"netagauge/internal/core/phrase"
	"netagauge/internal/core/piece"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/ticket"
)

// What all photos share is said of the class, with the time from the first to the
// last; each photo tells what is its own.
func TestFacts(t *testing.T) {
	fact := func(what, value string) piece.Fact { return piece.NewFact(what, phrase.Named("value-name", value)) }
	photo := func(taken, mat, scale string) Photo {
		return Photo{Facts: []piece.Fact{fact("photo", taken), fact("mat", mat), fact("print-scale", scale), fact("thickness", "4 mm")}}
	}
	b := Board{Ticket: ticket.Ticket{Standard: standard.Default(), Species: "salmon"}, Trainees: []Trainee{
		{Photos: []Photo{photo("2026-11-25 12:30", "a4", "98.3 %"), {}}}, {Photos: []Photo{photo("2026-11-25 12:10", "a4", "taken as 100 %")}}}}
	got := map[string]string{}
	for _, f := range b.Facts() {
		got[f.What] = f.Value
	}
	if got["photo"] != "2026-11-25 12:10 to 2026-11-25 12:30" || got["mat"] != "a4" || got["species"] != "salmon" || got["thickness"] != "4 mm" || got["print-scale"] != "" || got["standard"] == "" {
		t.Errorf("the class's facts are %v", got)
	}
	own := b.FactsOf(b.Trainees[0].Photos[0])
	if len(own) != 2 || own[0].Value != "2026-11-25 12:30" || own[1].Value != "98.3 %" {
		t.Errorf("the photo's own facts are %+v", own)
	}
}
