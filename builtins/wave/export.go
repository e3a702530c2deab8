package wave

import (
	"io"
	"path/filepath"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/play"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

var exportEndings = []string{".vcd", ".csv", ".json", ".svg", ".html"}

// exportSchema is what stands in the files, in short; vcd.go, export_events.go and svg.go have the rest.
const exportSchema = ".vcd: frames are scopes, parts are wires, meters integers, holders and chutes events, parts of kinds of one's own regs with the number of the state; K stands in a comment. " +
	".json: a first line with format, version and seed, then for each event bench, event, cause (numbers; 0: none), tick, step, turn, part (a number), kind, name, cell ([x, y, z], null on the shelf), what, level. " +
	".csv: the same but bench in columns with a head: event, cause, time_ticks, time_steps, time_turns, part, kind, name, x_cells, y_cells, z_cells, what, level"

func exportWords() []builtins.Entry {
	of := builtins.Param{Name: "of", Type: "a list of parts, names or cells", Default: "None", Optional: true, Keyword: true, Doc: "only these; of a scope also probes, one lane each; of a map one part, which is marked with what it reads and what reads it; None: all (a scope: the parts that went on or off)"}
	at := picture.AtTimeParam
	at.Doc = "with a scope: " + at.Doc + "; with a map: the moment at which it shows the bench, one of these; with .html: the marks of play"
	return []builtins.Entry{{Name: "export", Topic: "keeping", Sentence: "Writes the events, or a picture, to a file in the working folder, by its ending: .vcd (IEEE 1364, time = tick*K + step), .csv, .json (JSON Lines), .svg, .html (the player, as a page that loads nothing).",
		Params: []builtins.Param{
			{Name: "path", Type: "string", Doc: "a file in the working folder, such as \"quay.vcd\". " + exportSchema},
			{Name: "what", Type: "string", Default: `"scope"`, Optional: true, Keyword: true, Allowed: []string{"scope", "map", "play"}, Doc: "with .svg: which picture; .html holds what play shows"},
			of, picture.SinceParam, picture.UntilParam, at, picture.BetweenParam, picture.LayerParam, picture.BoxParam, picture.AreaParam, picture.SideParam, builtins.OverParam},
		Example: "k = key((0, 0), hold=1, name=\"quay.k\")\nwire((1, 0), (4, 0))\npress(k)\nrun()\nexport(\"quay.vcd\")\nexport(\"quay.csv\", of=[k])\nexport(\"quay.json\", since=1)\nexport(\"quay.svg\")\nexport(\"map.svg\", what=\"map\")\nexport(\"before.svg\", what=\"map\", at=(1, 0))\nexport(\"play.html\", what=\"play\")",
		See:     []string{"scope", "map", "events", "save"}, Call: export}}
}

func export(c *builtins.Call) (starlark.Value, error) {
	defer func(shown bool) { c.Env.ASCII = shown }(c.Env.ASCII)
	c.Env.ASCII = c.Env.PlainFiles // a file holds the same, whatever the terminal can show
	path := c.Str("path")
	if c.Err != nil {
		return nil, c.Err
	}
	ending := strings.ToLower(filepath.Ext(path))
	what := "scope"
	if ending == ".html" {
		what = "play"
	}
	what = c.Choice("what", what)
	over := c.Over("over")
	holds := "events"
	var write func(io.Writer) error
	switch ending {
	case ".vcd", ".csv", ".json":
		only(c, "what", "at", "between", "z", "box", "frame", "side")
		write = exportEvents(c, ending)
	case ".html":
		if what != "play" {
			return nil, c.Bad("what", builtins.Show(c.Value("what")), `"play": a picture goes with the ending .svg`)
		}
		holds = "a film"
		only(c, "of", "between")
		var page string
		if c.Err == nil {
			page = play.Page(c)
		}
		write = func(w io.Writer) error {
			_, err := io.WriteString(w, page)
			return err
		}
	case ".svg":
		if what == "play" {
			return nil, c.Bad("what", `"play"`, `"scope" or "map": a film goes with the ending .html`)
		}
		var drawing string
		holds = "a timing diagram"
		if what == "map" {
			holds = "a map"
			only(c, "since", "until", "between")
			m := picture.ChartOf(c, true)
			if n := m.Parts(); n > picture.SvgTiles {
				c.Fail("the map would hold %d parts, at most %d fit: choose with z=, box= or frame=", n, picture.SvgTiles)
			}
			if c.Err == nil {
				drawing = m.Svg()
			}
		} else {
			only(c, "z", "box", "frame", "side")
			g := picture.ScopeOf(c, "of", starlark.Tuple(c.List("of")), "at", "between", "since", "until", picture.SvgRoom, picture.ScopeLimitSVG)
			if c.Err == nil {
				drawing = picture.ScopeSVG(c.Env, g)
			}
		}
		write = func(w io.Writer) error {
			_, err := io.WriteString(w, drawing)
			return err
		}
	default:
		return nil, c.Bad("path", builtins.Show(c.Value("path")), "a path that ends in "+strings.Join(exportEndings, ", "))
	}
	if c.Err != nil {
		return nil, c.Err
	}
	return nil, c.ToFile(path, over, holds, write)
}

// only refuses parameters that go with another ending or picture.
func only(c *builtins.Call, not ...string) {
	for _, name := range not {
		if !c.Has(name) {
			continue
		}
		with := "a scope"
		switch name {
		case "at":
			with = "the endings .svg and .html"
		case "what":
			with = "the ending .svg"
		case "z", "box", "frame", "side":
			with = "what=\"map\""
		case "of":
			with = "events, a scope and a map"
		case "since", "until":
			with = "events and a scope"
		}
		c.Fail("parameter %s goes with %s only", name, with)
	}
}

func exportEvents(c *builtins.Call, ending string) func(io.Writer) error {
	var want map[engine.ID]bool
	first, last := engine.EventID(1), engine.EventID(c.Env.Bench.EventCount())
	if c.Has("of") {
		ids, cells := c.Targets("of")
		want = map[engine.ID]bool{}
		for _, id := range ids {
			want[id] = true
		}
		for _, cell := range cells {
			if id, ok := c.Env.Bench.IDAt(cell); ok {
				want[id] = true
			}
		}
	}
	if c.Has("since") && c.Err == nil {
		first = c.Boundary("since", true)
	}
	if c.Has("until") && c.Err == nil {
		last = min(last, c.Boundary("until", false)-1)
	}
	env := c.Env
	return func(w io.Writer) error {
		switch ending {
		case ".vcd":
			return writeVCD(w, env, want, first, last)
		case ".csv":
			return writeCSV(w, env, want, first, last)
		}
		return writeJSON(w, env, want, first, last)
	}
}
