package plan

// Cautions that belong beside a knife and raw fish. Cold holding and the limit
// of four hours: FDA Food Code 3-501.16 and 3-501.19; local rules go first.
func Cautions() []string {
	return []string{
		"The angles are a plan, not something to follow with the eyes on a sheet or screen: put the knife down before you read.",
		"Knife work is learned beside someone licensed to teach it; keep the guiding hand's fingers behind the blade.",
		"Keep the fish at 5 °C or below and cut quickly; after 4 hours without cold it is thrown away. Local food rules go first.",
		"A plan knows nothing of parasites, freshness or freezing: fish eaten raw needs the treatment your local code asks for.",
		"This sheet and a printed mat are not clean: keep them off the fish and the board. Beware allergens between species.",
	}
}
