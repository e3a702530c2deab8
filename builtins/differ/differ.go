package differ

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

const (
	wantSide = "a function that builds and runs, a design (with n=), a frame with a name, or the path of a saved log"
	wantB    = wantSide + "; None: the bench as it is now"
)

const example = `def line(news):
    fresh(news=news)
    w = wire((0, 0), (3, 0), name="quay")
    link((0, 1), "+y", name="first")
    link((3, 1), "+y", name="last")
    fire(w.first, 4)
    run()

d = differ(lambda: line("fifo"), lambda: line("lifo"))
expect(d.same)
`

func differWords() []builtins.Entry {
	return []builtins.Entry{{Name: "differ", Topic: "seeing", Sentence: "Where do two runs part? Compares two logs event by event, in order, and tells the first event that is not the same, how things stood just before it, where the causes of both join, and what is placed or posed differently.",
		Params: []builtins.Param{
			{Name: "a", Type: "a run", Default: "None", Optional: true, Doc: "a function without parameters that builds and runs: it is called on an empty bench with the rules as they are now, and the bench that it leaves counts; a design, with n=; a frame with a name: its parts on this bench; the path of a log in the working folder that export wrote as .json; None, with ticks: the bench as it is now"},
			{Name: "b", Type: "a run", Default: "None", Optional: true, Doc: "the same; None: what a is, where n or rules are a pair, one for each; else the bench as it is now"},
			{Name: "n", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: "of designs: what is sent; of a list, one after the other, each once all is quiet; of a pair of lists ([5], [6]), one for a and one for b"},
			{Name: "rules", Type: "a dict, or a pair of dicts", Default: "None", Optional: true, Keyword: true, Doc: "of functions and designs: rules that are not as they are now, such as dict(news=\"lifo\"), for both; of a pair, one for a and one for b. Names: order, news, reads, travel, reach, run, fall"},
			{Name: "by", Type: "string", Default: `"name"`, Optional: true, Keyword: true, Allowed: []string{"name", "place"}, Doc: "which parts are the same: those of one name, without the frame's in front, and of the others those in one cell, seen from the frame; place: by their cells alone, on the shelf by name or in the order placed"},
			{Name: "time", Type: "string", Default: "None", Optional: true, Keyword: true, Allowed: []string{"same", "lag"}, Doc: "same: an event has the same tick, step and turn in both; lag: it comes as long after its cause, so that one run may be later as a whole; what was caused from outside counts from the last such event, and if that was in another tick, in ticks alone. None: lag if both are frames, else same"},
			{Name: "frames", Type: "a pair of frames", Default: "None", Optional: true, Keyword: true, Doc: "from where each is seen, if not from the bench's own (0, 0); a frame that is compared is seen from itself"},
			{Name: "ticks", Type: "a pair of ticks, or a pair of such pairs", Default: "None", Optional: true, Keyword: true, Doc: "only what happens in these ticks, from the first to the last: (1, 20), or ((1, 20), (21, 40)), one pair for a and one for b; each side's time then counts from its first tick: two transmissions of one run"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDoc},
			{Name: "show", Type: "bool", Default: "True", Optional: true, Keyword: true, Doc: "False: only gives the value and prints nothing"}},
		Returns: "what was found: .same (no event differs), .compared (events that are the same, until they part), .a and .b (each with .what .events .event .stood .causes .read), .join (the latest event that caused both), .later (when each does what the other did), .placed (what is placed or posed differently, each with .part .what .a .b), .rules (likewise), .stood (other parts that stood otherwise), .text; scope(d) draws the parts it is about side by side",
		Example: example, See: []string{"why", "scope", "export", "survey"}, Call: differ}}
}

func differ(c *builtins.Call) (starlark.Value, error) {
	r := reader{Call: c}
	frames := r.frames()
	settings, given := r.settings()
	names := c.Choice("by", "name") == "name"
	show := c.Bool("show", true)
	numbers, size := r.numbers(), c.Has("size")
	spans := r.spans()
	var fns []starlark.Value
	var sides [2]*side
	var plays [2]func() error
	for k, param := range []string{"a", "b"} {
		sides[k] = &side{letter: param, frame: frames[k], span: spans[k]}
		if k == 1 && !c.Has("b") && r.paired() {
			param = "a"
		}
		play, needs := r.side(sides[k], param, settings[k], numbers[k])
		plays[k], fns = play, append(fns, needs...)
	}
	for _, without := range []struct {
		is          bool
		param, only string
	}{{given && !r.plays, "rules", "functions and designs"}, {c.Has("n") && !r.designs, "n", "designs"}, {size && !r.designs, "size", "designs"}} {
		if c.Err == nil && without.is {
			c.Fail("parameter %s goes with %s only", without.param, without.only)
		}
	}
	if c.Err == nil && sides[0].bench == c.Env.Bench && sides[1].bench == c.Env.Bench && !sides[0].part && !sides[1].part && (spans[0] == spans[1]) {
		c.Bad("a", "this bench, which is b, too", wantSide+"; or two spans of it with ticks=((1, 20), (21, 40))")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	lag := c.Choice("time", "") == "lag" || !c.Has("time") && sides[0].part && sides[1].part
	defer trial.FenceIn(c.Env, fns...)()
	var err error
	for k, play := range plays {
		if err = play(); err != nil {
			err = fmt.Errorf("for parameter %s: %w", sides[k].letter, err)
			break
		}
	}
	if stopped := c.Env.Stopped(); err != nil && stopped != nil {
		err = stopped
	}
	if err != nil {
		return nil, c.Wrap(err)
	}
	d, err := compare(c.Env, sides[0], sides[1], names, lag)
	if err != nil {
		return nil, c.Wrap(err)
	}
	if show {
		c.Env.Print(d.text)
		d.shown = true
	}
	return d, nil
}

// reader reads the arguments of differ.
type reader struct {
	*builtins.Call
	plays, designs bool // whether a function or a design is compared; whether a design is
}

// frames are those from where each side is seen.
func (c *reader) frames() [2]*builtins.Frame {
	both := [2]*builtins.Frame{builtins.World, builtins.World}
	if !c.Has("frames") {
		return both
	}
	pair, ok := c.Value("frames").(starlark.Indexable)
	for k := range both {
		if ok = ok && pair.Len() == 2; ok {
			both[k], ok = pair.Index(k).(*builtins.Frame)
		}
	}
	if !ok {
		c.Bad("frames", builtins.Show(c.Value("frames")), "")
	}
	return both
}

// numbers are what is sent to each side's design.
func (c *reader) numbers() (both [2][]starlark.Value) {
	if pair, ok := c.Value("n").(starlark.Tuple); ok && len(pair) == 2 {
		one, ok := pair[0].(*starlark.List)
		two, too := pair[1].(*starlark.List)
		if ok && too {
			for x := range one.Elements() {
				both[0] = append(both[0], x)
			}
			for x := range two.Elements() {
				both[1] = append(both[1], x)
			}
			return both
		}
	}
	return [2][]starlark.Value{c.List("n"), c.List("n")}
}

// paired reports whether each side is given its own numbers or rules: then one run in two ways is compared.
func (c *reader) paired() bool {
	rules, ok := c.Value("rules").(starlark.Indexable)
	numbers, of := c.Value("n").(starlark.Tuple)
	if of && len(numbers) == 2 {
		_, of = numbers[0].(*starlark.List)
	}
	return ok && rules.Len() == 2 || of && len(numbers) == 2
}

// settings are the rules under which each side runs.
func (c *reader) settings() (both [2]trial.Setting, given bool) {
	base := trial.PlainSetting(c.Env.Rules())
	base.Late = c.Env.Late
	both = [2]trial.Setting{base, base}
	if !c.Has("rules") {
		return both, false
	}
	v := c.Value("rules")
	of := [2]starlark.Value{v, v}
	if pair, ok := v.(starlark.Indexable); ok && pair.Len() == 2 {
		of = [2]starlark.Value{pair.Index(0), pair.Index(1)}
	}
	for k, v := range of {
		d, ok := v.(*starlark.Dict)
		if !ok {
			c.Bad("rules", builtins.Show(c.Value("rules")), "a dict such as dict(news=\"lifo\"), or a pair of them")
			return both, true
		}
		for name, x := range d.Entries() {
			if n := builtins.Text(name); !slices.Contains(trial.SettingNames, n) {
				c.Bad("rules", builtins.Show(name), "names out of "+strings.Join(trial.SettingNames, " ")+say.DidYouMean(n, trial.SettingNames))
				return both, true
			}
			if err := both[k].Set(builtins.Text(name), x); err != nil {
				c.Fail("for parameter rules: %w", err)
				return both, true
			}
		}
	}
	return both, true
}

// side reads one of the two. What it gives makes its run, which calls the functions it needs.
func (c *reader) side(s *side, param string, set trial.Setting, numbers []starlark.Value) (play func() error, needs []starlark.Value) {
	nothing := func() error { return nil }
	if c.Err != nil {
		return nothing, nil
	}
	v := c.Value(param)
	if name, ok := v.(starlark.String); ok && !c.named(string(name)) {
		return c.log(s, param, string(name)), nil
	}
	switch v := v.(type) {
	case nil, starlark.NoneType:
		s.what, s.bench = "this bench", c.Env.Bench
		return nothing, nil
	case *builtins.Frame:
		if v.Name == "" {
			c.Bad(param, "a frame without a name", "one that has a name: its parts are known by it")
			return nothing, nil
		}
		s.what, s.bench, s.frame = "frame "+say.Clean(v.Name)+" of this bench", c.Env.Bench, v
		if s.within(); !slices.Contains(s.inside, true) {
			c.Bad(param, "frame "+say.Clean(v.Name)+", of which no part lies on this bench", "one whose parts do")
		}
		return nothing, nil
	case starlark.Callable:
		c.plays = true
		s.what = "function " + v.Name()
		if v.Name() == "lambda" {
			s.what = "a function"
		}
		return func() error {
			return s.run(c.Env, func(r *trial.Runner) (*trial.Past, error) { return r.Play(v, set) })
		}, []starlark.Value{v}
	}
	_, name := v.(starlark.String)
	if has, ok := v.(starlark.HasAttrs); !name && (!ok || !slices.Contains(has.AttrNames(), "build")) {
		want := wantSide
		if param == "b" {
			want = wantB
		}
		c.Bad(param, builtins.Show(v), want)
		return nothing, nil
	}
	m := trial.DesignOf(c.Call, param, v)
	if c.Err != nil {
		return nothing, nil
	}
	c.plays, c.designs = true, true
	if len(numbers) == 0 {
		c.Fail("for parameter %s: the design %s is to be sent something; give it with n=", param, m.Name)
		return nothing, nil
	}
	size := trial.SizeOf(c.Call, m, "size", 0)
	s.what = "design " + say.Clean(m.Name)
	if m.Version != "" {
		s.what += ", version " + say.Clean(m.Version)
	}
	return func() error {
		return s.run(c.Env, func(r *trial.Runner) (*trial.Past, error) { return r.PlayDesign(m, set, size, numbers) })
	}, m.Functions()
}

// named reports whether a design has that name.
func (c *reader) named(name string) bool {
	return slices.ContainsFunc(c.Env.Designs, func(d starlark.Value) bool { return d.(*trial.Design).Name == name })
}

// log reads a saved log.
func (c *reader) log(s *side, param, path string) func() error {
	s.what = "the log " + say.Clean(filepath.ToSlash(path))
	return func() error {
		switch {
		case c.Env.Dir == nil:
			return errors.New("there is no folder to read a log from here")
		case !filepath.IsLocal(path):
			return fmt.Errorf("%s is outside the working folder; want a path inside it, such as \"quay.json\"", builtins.Show(starlark.String(path)))
		}
		info, err := c.Env.Dir.Stat(path)
		if err == nil && !info.Mode().IsRegular() { // a pipe may never say anything
			return fmt.Errorf("%s is no ordinary file; want a log that export wrote", builtins.Show(starlark.String(path)))
		}
		if errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s is no file in the working folder, and no design has that name; want %s", builtins.Show(starlark.String(path)), wantSide)
		}
		var f *os.File
		if err == nil {
			f, err = c.Env.Dir.Open(path)
		}
		if err == nil {
			defer f.Close()
			s.saved, err = readLog(f, info.Size(), c.Env.Stopped)
		}
		if err == nil || c.Env.Stopped() != nil {
			return err
		}
		var trouble *fs.PathError
		if errors.As(err, &trouble) {
			return fmt.Errorf("%s: %s", builtins.Show(starlark.String(path)), builtins.FileTrouble(err))
		}
		return fmt.Errorf("%s: %w", builtins.Show(starlark.String(path)), err)
	}
}

// run makes a run in a world of its own, and takes over what it has left.
func (s *side) run(e *builtins.Env, play func(*trial.Runner) (*trial.Past, error)) error {
	crew := trial.NewCrew(e)
	defer crew.Close()
	p, err := play(crew.Runner(0))
	if p != nil {
		s.bench, s.read, s.fault = p.Bench, p.Read, p.Fault
	}
	return err
}
