package main

import (
	"netagauge/internal/command/desk"
	"netagauge/internal/command/records"
)

// verbs lists the commands in the order of the help page.
func verbs() []verb {
	return []verb{
		{"mat", "write the mat to print", desk.Mat},
		{"demo", "write sample trays and check one of them", desk.Demo},
		{"check", "measure every slice in a photo of a tray", desk.Check},
		{"repeat", "how well photos of one untouched tray agree", desk.Repeat},
		{"accept", "hold phone, mat and program against printed shapes", desk.Accept},
		{"class", "measure, grade and report the trays of a class", records.Class},
		{"line", "watch a line by spot checks and control charts", records.Line},
		{"book", "show or export the record book", records.Book},
		{"serve", "serve the pages for phones", runServe},
		{"work", "measure photos that servers elsewhere take in", runWork},
		{"sites", "make one organisation of several kitchens", runSites},
		{"due", "show and delete what the dates of keeping end", runDue},
		{"exam", "hold exams and certificates against their records", runExam},
		{"backup", "copy a kitchen into one file", runBackup},
		{"restore", "fill an empty data folder or database from a backup", runRestore},
		{"move", "move a record to a shared place or back", runMove},
		{"plan", "work out where to cut a block", desk.Plan},
		{"standard", "write a house standard, or say what one means", desk.Standard},
		{"species", "list the species whose density is known", desk.Species},
		{"profile", "keep what a cutter's slices weigh for their area", desk.Profile},
		{"completion", "write completion of commands for a shell", runCompletion},
		{"worker", "", runWorker}, // these two are for serve and for the package: the help page leaves them out
		{"manual", "", runManual},
	}
}
