package plan

// Cautions that belong beside a knife and raw fish, as keys of the phrasebook.
// Cold holding and the limit of four hours: FDA Food Code 3-501.16 and 3-501.19;
// local rules go first.
func Cautions() []string {
	return []string{"caution-eyes", "caution-licence", "caution-quick", "caution-raw", "caution-sheet"}
}
