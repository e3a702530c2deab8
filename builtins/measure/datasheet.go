package measure

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/expand"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func datasheetWords() []builtins.Entry {
	return []builtins.Entry{{Name: "datasheet", Topic: "experiments", Sentence: "Makes one page about a design: who made it, what it does edge by edge, timing diagram, map, ports, figures with how each was obtained, rules, and how to repeat it. All figures are computed as it is made.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "what the page is about"},
			{Name: "path", Type: "string", Default: "None", Optional: true, Doc: "where to write it, by ending: .md .html (with its pictures inside) .json; None: print it"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDocUsual},
			{Name: "upto", Type: "number", Default: "64", Optional: true, Keyword: true, Doc: "the largest size for expandable"},
			runsParam, builtins.OverParam},
		Returns: "a report with .figures (a dict from the figure to its value) and .text (the page as Markdown)",
		Example: trial.PlainFunctions + "line = design(\"plain line\", build, send, read, [1, 2, 9], author=\"harbour office\", version=\"1\")\ndatasheet(line, \"line.md\")\ndatasheet(line, \"line.html\")\nr = datasheet(line, \"line.json\")\nexpect_equal(r.figures[\"recovery, ticks\"], 1)",
		See:     []string{"compare", "recovery", "expandable", "scope", "map"}, Call: datasheet}}
}

// sheet is what a data sheet tells.
type sheet struct {
	Name       string         `json:"name"`
	Version    string         `json:"version,omitempty"`
	Author     string         `json:"author,omitempty"`
	Note       string         `json:"note,omitempty"`
	Does       string         `json:"does,omitempty"` // the docstring of what is built
	Ports      [][2]string    `json:"ports"`
	Sent       string         `json:"sent"`  // the number of the timing diagram
	Came       string         `json:"came"`  // what came of it: that it reads right, or what it does
	Edges      string         `json:"edges"` // what it does with that number, edge by edge
	Timing     string         `json:"timing"`
	Map        string         `json:"map"`
	MapOf      string         `json:"map_of"`
	Kinds      []kindSheet    `json:"kinds,omitempty"`
	Figures    []figureJSON   `json:"figures"`
	Recovery   string         `json:"recovery,omitempty"`
	Expandable string         `json:"expandable,omitempty"`
	Surveyed   string         `json:"surveyed"`
	Rules      string         `json:"rules"`
	Fall       string         `json:"fall"` // of pulses that are fired, where the script does not say
	Seed       int64          `json:"seed"`
	Call       string         `json:"call"`
	Again      builtins.Again `json:"again"`
	timingSVG  string
	mapSVG     string
	figures    []figure
}

func datasheet(c *builtins.Call) (starlark.Value, error) {
	m := trial.DesignArg(c, "design")
	path, upto, runs := c.Str("path"), c.Small("upto", 64, 1), c.Int("runs", holdsRuns, 1)
	over := c.Over("over")
	c.MayWrite(path, over)
	ending := strings.ToLower(filepath.Ext(path))
	if path != "" && ending != ".md" && ending != ".html" && ending != ".json" && c.Err == nil {
		c.Bad("path", builtins.Show(starlark.String(path)), "a path that ends in .md, .html or .json")
	}
	size := 1
	if c.Err == nil {
		size = trial.SizeOf(c, m, "size", 8)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	s, err := newSheet(c, m, size, upto, runs)
	if err != nil {
		return nil, c.Wrap(err)
	}
	page := s.markdown()
	if path == "" {
		c.Env.Print(page)
	} else if err := c.ToFile(path, over, "the data sheet", func(w io.Writer) error {
		switch ending {
		case ".json":
			enc := json.NewEncoder(w)
			enc.SetEscapeHTML(false)
			enc.SetIndent("", "  ")
			return enc.Encode(s)
		case ".html":
			_, err := io.WriteString(w, s.html())
			return err
		}
		_, err := io.WriteString(w, page)
		return err
	}); err != nil {
		return nil, err
	}
	figures := starlark.NewDict(len(s.figures))
	for _, f := range s.figures {
		figures.SetKey(starlark.String(f.head()), f.starlark())
	}
	f := starlark.StringDict{"figures": figures, "text": starlark.String(page)}
	hold.FreezeAll(f)
	return &builtins.Report{Name: "data sheet", Text: "data sheet of " + m.Name, Fields: f}, nil
}

// inWorld are the rules in force, and the world whose they are.
func inWorld(e *builtins.Env, d *trial.Design, rules engine.Rules) string {
	text := builtins.Rules{Rules: rules}.String()
	switch now := e.WorldNow(); {
	case d.World != nil && d.World.Laws() != rules:
		return text + "; it was made for another world, " + d.World.String()
	case d.World != nil:
		return text + ", those of " + d.World.Called()
	case now != nil:
		return text + ", those of " + now.Called()
	}
	return text
}

// sheet computes everything on the page.
func newSheet(c *builtins.Call, d *trial.Design, size, upto int, runs int64) (*sheet, error) {
	preamble := trial.Preamble(c.Env, d)
	defer trial.FenceIn(c.Env, d.Functions()...)()
	l := trial.NewBay(c, d)
	defer l.Close()
	s := &sheet{Name: d.Name, Version: d.Version, Author: d.Author, Note: d.Note, Rules: inWorld(c.Env, d, l.Rules), Ports: [][2]string{},
		Fall: l.Fall(), Seed: c.Env.Seed, Call: sheetCall(d, size, upto, runs), Again: againFor(c)}
	all, err := tryCourse(l, size)
	if err != nil {
		return nil, err
	}
	fs, rec, err := figuresOf(l, all, size)
	if err != nil {
		return nil, err
	}
	held, finding, err := holds(l, size, runs, preamble)
	if err != nil {
		return nil, err
	}
	if d.Sized {
		fs = append([]figure{sizeFigure(d, size)}, fs...)
	}
	s.figures = slices.DeleteFunc(append(fs, held), func(f figure) bool { return f.absent })
	for _, f := range s.figures {
		s.Figures = append(s.Figures, f.json(false))
	}
	s.Surveyed = held.how
	if finding != nil {
		s.Surveyed = finding.Text()
	}
	if rec != nil {
		s.Recovery = rec.report().String()
	}
	if err := s.grows(l, upto); err != nil {
		return nil, err
	}
	s.Does = doc(d)
	if err := s.draw(l, size); err != nil {
		return nil, err
	}
	if err := s.pictures(l, all, size); err != nil {
		return nil, err
	}
	return s, nil
}

// doc is what the script says about what it builds: the docstring of the slice, else of build.
func doc(d *trial.Design) string {
	for _, fn := range []starlark.Callable{d.Slice, d.Build} {
		if f, ok := fn.(*starlark.Function); ok && f.Doc() != "" {
			return undent(f.Doc())
		}
	}
	return ""
}

// undent takes the blanks away that all lines but the first begin with.
func undent(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	least := -1
	for _, l := range lines[1:] {
		if n := len(l) - len(strings.TrimLeft(l, " ")); strings.TrimSpace(l) != "" && (least < 0 || n < least) {
			least = n
		}
	}
	for i, l := range lines[1:] {
		lines[i+1] = strings.TrimRight(l[min(max(least, 0), len(l)):], " ")
	}
	return strings.Join(lines, "\n")
}

// grows tells whether the design works at any size, if it says by how much a slice repeats.
func (s *sheet) grows(l *trial.Bay, upto int) error {
	if !l.Sized && l.Slice == nil || l.Pitch == (engine.Cell{}) {
		return nil
	}
	switch r, err := expand.Try(l, upto); {
	case l.C.Env.Stopped() != nil:
		return l.C.Env.Stopped()
	case err != nil:
		s.Expandable = "growing sizes could not be tried: " + say.Clean(builtins.Message(err))
	default:
		s.Expandable = r.String()
	}
	return nil
}

// shown is the number whose transmission a page shows, and what comes of it: wide enough to be seen, and not so wide that it fills
// the page; one that reads right, if any does.
func (t tried) shown() (starlark.Value, sending) {
	at := min(len(t.numbers)-1, 4)
	for k := range t.numbers { // that one, then those after it, then those before
		if i := (at + k) % len(t.numbers); t.sent[i].right {
			at = i
			break
		}
	}
	return t.numbers[at], t.sent[at]
}

// A transmission that does not come to rest is shown for so long.
const (
	restlessTicks = 8
	restlessTurns = 2000
)

// pictures makes a transmission, tells it edge by edge and draws its timing; and lists the ports.
func (s *sheet) pictures(l *trial.Bay, all tried, size int) error {
	n, came := all.shown()
	t, err := l.Pose(l.One(), size)
	if err != nil {
		return err
	}
	b := t.Bench
	s.kindsOf(l.C.Env, b)
	from := engine.EventID(b.EventCount()) + 1
	t.Dirty = true
	b.Record(engine.RecordAll)
	lanes, lists := s.ports(b, t.Rig)
	s.Came = "It reads right."
	switch {
	case came.right:
	case came.restless:
		s.Came = fmt.Sprintf("%s. What is shown ends after %s, or within a tick after %s.", upperFirst(came.trouble), say.Count(restlessTicks, "tick"), say.Count(restlessTurns, "turn"))
	default:
		s.Came = "It does not read right: " + came.trouble + "."
	}
	if err := t.Start(n); err != nil && l.C.Env.Stopped() != nil {
		return err
	} else if err == nil {
		if came.restless {
			err = b.RunTicks(t.Env.Context(), restlessTicks, engine.Budget{Turns: restlessTurns})
		} else {
			err = t.Quiet()
		}
		if err != nil && !came.restless {
			return err
		}
	}
	s.Sent = builtins.Show(n)
	lanes = append(lanes, moved(b, lists, from)...)
	lanes = append(sentAt(b, lanes, from), lanes...)
	t.Env.Width = 100
	s.Edges = edges(t.Env, b, from)
	lanes, moments, more, err := picture.Collect(t.Env, lanes, from, engine.EventID(b.EventCount()))
	if err != nil {
		return err
	}
	picture.FirstAbove(lanes)
	if len(moments) == 0 {
		s.Timing = "nothing happens"
		return nil
	}
	for _, svg := range []bool{false, true} {
		room, limit := t.Env.Width, picture.ScopeLimit
		if svg {
			room, limit = picture.SvgRoom, picture.ScopeLimitSVG
		}
		cols, cut := picture.TimeAxis(moments, room, limit)
		g := picture.LayOut(t.Env, lanes, cols, cut, nil)
		g.More = more
		if svg {
			s.timingSVG = picture.ScopeSVG(t.Env, g)
		} else {
			s.Timing = picture.ScopeAsText(t.Env, g, t.Env.Width)
		}
	}
	return t.Env.Stopped()
}

// ports lists what the rig names. What goes on and off has a lane, or is one of a list, of which those will have one that do.
func (s *sheet) ports(b *engine.Bench, rig starlark.Value) (lanes, lists []*picture.Lane) {
	has, ok := rig.(starlark.HasAttrs)
	if !ok {
		return nil, nil
	}
	shown := map[engine.Target]bool{}
	lane := func(to *[]*picture.Lane, v starlark.Value) (what string, ok bool) {
		var t engine.Target
		name := ""
		switch v := v.(type) {
		case *observe.Probe:
			t, name, what = v.Target(), v.Name(), "a probe of "+v.Name()
		case builtins.Part:
			t, what = engine.Target{ID: v.ID}, builtins.Describe(b, v.ID)
			if !b.TraitOf(v.ID).Shows.Pulses() {
				return what, true
			}
		default:
			return "", false
		}
		if !shown[t] { // else two ports are at one place
			shown[t] = true
			l := picture.LaneFor(b, t)
			if name != "" {
				l.Name = name
			}
			*to = append(*to, l)
		}
		return what, true
	}
	for _, name := range has.AttrNames() {
		v, err := has.Attr(name)
		if err != nil || v == nil {
			continue
		}
		what, ok := lane(&lanes, v)
		switch v := v.(type) {
		case *starlark.List:
			what = fmt.Sprintf("a list of %d", v.Len())
			for i := range v.Len() {
				switch one, ok := lane(&lists, v.Index(i)); {
				case ok && i == 0:
					what += ", from " + one
				case ok && i == v.Len()-1:
					what += " to " + one
				}
			}
		case starlark.Callable, *builtins.Frame:
			continue
		default:
			if !ok {
				what = builtins.Show(v)
			}
		}
		s.Ports = append(s.Ports, [2]string{name, what})
	}
	return lanes, lists
}
