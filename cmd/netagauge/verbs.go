package main

// verbs lists the commands in the order of the help page.
func verbs() []verb {
	return []verb{
		{"plan", "work out where to cut a block", runPlan},
	}
}
