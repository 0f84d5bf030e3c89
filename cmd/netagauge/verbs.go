package main

// verbs lists the commands in the order of the help page.
func verbs() []verb {
	return []verb{
		{"mat", "write the mat to print", runMat},
		{"demo", "write sample trays and check one of them", runDemo},
		{"check", "measure every slice in a photo of a tray", runCheck},
		{"repeat", "how well photos of one untouched tray agree", runRepeat},
		{"accept", "hold phone, mat and program against printed shapes", runAccept},
		{"class", "measure, grade and report the trays of a class", runClass},
		{"line", "watch a line by spot checks and control charts", runLine},
		{"book", "show or export the record book", runBook},
		{"serve", "serve the pages for phones", runServe},
		{"work", "measure photos that servers elsewhere take in", runWork},
		{"sites", "make one organisation of several kitchens", runSites},
		{"exam", "hold exams and certificates against their records", runExam},
		{"backup", "copy a kitchen into one file", runBackup},
		{"restore", "fill an empty data folder or database from a backup", runRestore},
		{"move", "move a record to a shared place or back", runMove},
		{"plan", "work out where to cut a block", runPlan},
		{"standard", "write a house standard, or say what one means", runStandard},
		{"species", "list the species whose density is known", runSpecies},
		{"profile", "keep what a cutter's slices weigh for their area", runProfile},
		{"completion", "write completion of commands for a shell", runCompletion},
		{"worker", "", runWorker}, // these two are for serve and for the package: the help page leaves them out
		{"manual", "", runManual},
	}
}
