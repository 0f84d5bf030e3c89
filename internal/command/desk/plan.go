package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"netagauge/internal/command"
	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/plan"
	"netagauge/internal/judge/standard"
	"netagauge/internal/judge/weight"
	"netagauge/internal/tell/plansheet"
)

const planHelp = `netagauge plan works out where to cut a block: the angles, the step and what
each slice weighs.

  netagauge plan --length 240 --width 56 --height 20
  netagauge plan --photo block.jpg --heights 20 --picture cuts.jpg
  netagauge plan --photo block.jpg --second moved.jpg
  netagauge plan --stations 0:42x16,120:58x22,240:60x20 --species tuna \
    --pdf sheet.pdf
  netagauge plan --slices 40 --grams 12 \
    --stations "0:42x16,240:60x20; 0:56x20,200:56x20"

Sizes are in mm. --stations gives PLACE:WIDTHxHEIGHT along the block, from its
tail end on; where the top slopes, the height is NEAR/FAR or NEAR/MIDDLE/FAR,
near being your side: 0:70x4/13/22. The plan angle lies between the knife's line
and the block's long axis, the lay angle between blade and board. Length and
width are those of the slice as it lies, leaning walls and all, as check
measures it. Put the knife down before you read the sheet.
`

// planFlags is what the person typed.
type planFlags struct {
	*command.Caller
	length, width, height float64
	stations              string
	photo, second         string
	heights, picture      string
	command.TicketFlags
	hand, tail                    string
	noTip                         bool
	turn                          float64
	stack                         int
	scatter                       plan.Scatter
	blade, price                  float64
	slices                        int
	grams                         float64
	json, csv                     bool
	htmlFile, pdfFile, sheetTitle string

	drawn []byte // the photo with every cut on it
}

func (p *planFlags) define(f *pflag.FlagSet) {
	o := plan.DefaultOptions()
	f.Float64Var(&p.length, "length", 0, "length of the block, mm")
	f.Float64Var(&p.width, "width", 0, "width of the block across the board, mm")
	f.Float64Var(&p.height, "height", 0, "height of the block, mm")
	f.StringVar(&p.stations, "stations", "", "sections along the block instead: PLACE:WIDTHxHEIGHT,…")
	f.StringVar(&p.photo, "photo", "", "photo of the block on the mat, instead of its sizes; with --heights or --second")
	f.StringVar(&p.second, "second", "", "with --photo, a second photo of the block from another place, instead of --heights: both together show them")
	f.StringVar(&p.heights, "heights", "", "with --photo, the block's height in mm: one (20, or 4/13/22 where it slopes), or at places from the tail end on (0:16,120:22)")
	f.StringVar(&p.picture, "picture", "", "with --photo, write the photo with every cut drawn on it to this JPEG file")
	p.RegisterFlesh(f)
	f.StringVar(&p.StandardFile, "standard", "", "house standard, a TOML file (default: the built-in one for nigiri)")
	f.BoolVar(&p.Practice, "practice", false, "aim for practice slices, slightly larger")
	f.StringVar(&p.hand, "hand", string(o.Hand), "the knife hand: right or left")
	f.StringVar(&p.tail, "tail", string(o.Tail), "the side on which the tail end lies: left or right")
	f.BoolVar(&p.noTip, "no-tail-tip", false, "the block is from the middle: its end is no fibrous tip")
	f.Float64Var(&p.turn, "turn", o.Turn, "the most that the knife turns from one cut to the next, degrees; 0 keeps all cuts parallel")
	f.IntVar(&p.stack, "stack", o.Stack, "slices to a stack, 5 or 10")
	f.Float64Var(&p.scatter.Tray, "hand-tray", o.Scatter.Tray, "how far the hand is off for a whole tray, degrees: slices that stand it are called sure")
	f.Float64Var(&p.scatter.Cut, "hand-cut", o.Scatter.Cut, "how far the hand is off from cut to cut, degrees")
	f.IntVar(&p.slices, "slices", 0, "how many slices are wanted: says which blocks to take, and how much of the last; part blocks in --stations by ;")
	f.Float64Var(&p.grams, "grams", 0, "the least that a slice shall weigh, g (default: what the standard asks)")
	f.Float64Var(&p.blade, "blade", 0, "width of your blade from edge to spine, mm: the sheet then gives the spine's height over the board")
	f.Float64Var(&p.price, "price", 0, "price of the block per kg, for the cost of each slice")
	f.BoolVar(&p.json, "json", false, "print the plan as JSON")
	f.BoolVar(&p.csv, "csv", false, "print the cuts as CSV")
	f.StringVar(&p.htmlFile, "html", "", "write the sheet as an HTML page to this file")
	f.StringVar(&p.pdfFile, "pdf", "", "write the sheet to print to this PDF file")
	f.StringVar(&p.sheetTitle, "title", "", "heading of the sheet")
}

// Plan works out where to cut a block.
func Plan(ctx context.Context, args []string, to *command.Caller) (int, error) {
	p := planFlags{Caller: to}
	f := command.NewFlags("plan", planHelp, to)
	p.define(f)
	if err := to.Parse(f, args); err != nil {
		return command.ExitUsage, err
	}
	if f.NArg() > 0 {
		return command.ExitUsage, command.Misuse("use-plan-sizes", command.Quoted(f.Arg(0)))
	}
	if p.slices != 0 || strings.Contains(p.stations, ";") {
		return p.order(ctx, f)
	}
	text, err := command.Written(to.Out, p.htmlFile, p.pdfFile, p.picture)
	if err != nil {
		return command.ExitUsage, err
	}
	if err := command.PictureKind(p.picture); err != nil {
		return command.ExitUsage, err
	}
	made, err := p.make(ctx, f)
	if err != nil {
		return command.ExitUsage, err
	}
	if err := p.files(made); err != nil {
		return command.ExitUsage, err
	}
	return command.ExitPass, p.print(text, made)
}

func (p *planFlags) make(ctx context.Context, f *pflag.FlagSet) (plan.Plan, error) {
	if p.json && p.csv {
		return plan.Plan{}, command.Misuse("use-either", "--json", "--csv")
	}
	if err := p.check(f); err != nil {
		return plan.Plan{}, command.MisuseOf(err)
	}
	matter, err := weight.BuiltIn().Matter(p.Species, p.Density, p.Celsius)
	if err != nil {
		return plan.Plan{}, command.MisuseOf(err)
	}
	if p.StandardFile != "" && p.Practice {
		return plan.Plan{}, command.Misuse("use-either", "--standard", "--practice")
	}
	house, err := command.LoadStandard(p.StandardFile, p.Practice)
	if err != nil {
		return plan.Plan{}, command.MisuseOf(err)
	}
	o := plan.Options{Density: matter.Density.X, Hand: plan.Side(p.hand), Tail: plan.Side(p.tail), TailTip: !p.noTip, Turn: p.turn, Stack: p.stack, Scatter: p.scatter, Price: p.price, Weight: p.grams}
	var made plan.Plan
	if p.photo != "" {
		made, err = p.fromPhoto(ctx, house, matter.Group, o)
	} else {
		made, err = p.fromSizes(ctx, house, matter.Group, o)
	}
	if err != nil && ctx.Err() == nil {
		return made, command.MisuseOf(err)
	}
	return made, err
}

// order says which of several blocks give the slices that are wanted, and how
// each of them is cut.
func (p *planFlags) order(ctx context.Context, f *pflag.FlagSet) (int, error) {
	if p.slices < 1 || p.json || p.csv || p.photo != "" || p.htmlFile != "" || p.pdfFile != "" {
		return command.ExitUsage, command.Misuse("use-order")
	}
	var plans []plan.Plan
	for _, stations := range strings.Split(p.stations, ";") {
		one := *p
		one.stations = stations
		made, err := one.make(ctx, f)
		if err != nil {
			return command.ExitUsage, command.MisuseOf(phrase.Because(err, "use-block", len(plans)+1))
		}
		plans = append(plans, made)
	}
	shares, short := plan.Fill(plans, p.slices)
	fmt.Fprintln(p.Out, plansheet.Order(shares, short, p.Language))
	for _, share := range shares {
		fmt.Fprintln(p.Out)
		if err := p.sheet(plans[share.Block]).Text(p.Out); err != nil {
			return command.ExitUsage, err
		}
	}
	return command.ExitPass, nil
}

// check refuses sizes of the block that contradict each other or are missing.
func (p *planFlags) check(f *pflag.FlagSet) error {
	bar := f.Changed("length") || f.Changed("width") || f.Changed("height")
	switch {
	case p.photo != "" && (bar || p.stations != ""):
		return phrase.Wrong("use-photo-or-sizes")
	case p.photo == "" && (p.heights != "" || p.picture != "" || p.second != ""):
		return phrase.Wrong("use-with-photo")
	case p.second != "" && p.heights != "":
		return phrase.Wrong("use-heights")
	case p.stations != "" && bar:
		return phrase.Wrong("use-either", "--stations", "--length, --width, --height")
	case p.photo != "" || p.stations != "":
		return nil
	}
	for _, name := range []string{"length", "width", "height"} {
		if !f.Changed(name) {
			return phrase.Wrong("use-no-size", name)
		}
	}
	return nil
}

// fromSizes plans a block whose sizes were given.
func (p *planFlags) fromSizes(ctx context.Context, house standard.Standard, group string, o plan.Options) (plan.Plan, error) {
	block, err := p.block()
	if err != nil {
		return plan.Plan{}, err
	}
	return plan.Make(ctx, block, house, group, o)
}

func (p *planFlags) block() (plan.Block, error) {
	if p.stations == "" {
		return plan.Bar(p.length, p.width, p.height)
	}
	stations, err := plan.ParseStations(p.stations)
	if err != nil {
		return plan.Block{}, phrase.At("--stations", err)
	}
	return plan.NewBlock(stations)
}

// files writes the sheets that were asked for.
func (p *planFlags) files(made plan.Plan) error {
	sheet := p.sheet(made)
	for _, file := range []struct {
		path  string
		write func(io.Writer) error
	}{
		{p.htmlFile, sheet.HTML},
		{p.pdfFile, sheet.PDF},
		{p.picture, func(w io.Writer) error { return command.WritePicture(w, p.picture, p.drawn) }},
	} {
		if file.path == "" {
			continue
		}
		if err := command.WriteTo(file.path, p.Out, file.write); err != nil {
			return command.MisuseOf(err)
		}
		if file.path != command.Dash {
			fmt.Fprintln(p.Err, p.Word("ran-written", file.path))
		}
	}
	return nil
}

func (p planFlags) sheet(made plan.Plan) plansheet.Sheet {
	if p.sheetTitle == "" {
		p.sheetTitle = p.Word("paper-plan")
	}
	return plansheet.Sheet{Plan: made, Title: p.sheetTitle, Blade: p.blade, Words: p.Language}
}

func (p planFlags) print(out io.Writer, made plan.Plan) error {
	switch {
	case p.csv:
		return plansheet.CSV(out, made)
	case p.json:
		enc := json.NewEncoder(out)
		enc.SetIndent("", "  ")
		return enc.Encode(made)
	}
	return p.sheet(made).Text(out)
}
