package calibrate

import (
	"fmt"
	"math"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/world"

	"go.starlark.net/starlark"
)

var _ starlark.HasAttrs = (*Calibration)(nil)

func (c *Calibration) Type() string { return "calibration" }

// Freeze has it change no more.
func (c *Calibration) Freeze() {
	if !c.frozen {
		c.frozen = true
	}
}

// Hash refuses.
func (c *Calibration) Hash() (uint32, error) {
	return 0, fmt.Errorf("a calibration cannot be a key of a dict")
}

// String is what there is to do next, or what was found.
func (c *Calibration) String() string {
	v, _ := c.Attr("text")
	return builtins.Text(v)
}

// Truth is whether the world is found.
func (c *Calibration) Truth() starlark.Bool {
	v, _ := c.Attr("found")
	found, _ := v.(starlark.Bool)
	return found
}

type method func(c *Calibration, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error)

var methods = map[string]method{
	"back": (*Calibration).backCall, "build": (*Calibration).buildCall, "rehearse": (*Calibration).rehearseCall,
	"saw": (*Calibration).sawCall, "skip": (*Calibration).skipCall, "unsure": (*Calibration).unsureCall,
}

var fields = []string{"alone", "asked", "bits", "clash", "done", "found", "map", "open", "rigs", "seen", "text", "world", "worlds"}

// AttrNames lists fields and methods.
func (c *Calibration) AttrNames() []string {
	names := slices.Clone(fields)
	for name := range methods {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// Attr reads a field or binds a method. What was stopped while it was worked out is no value.
func (c *Calibration) Attr(name string) (starlark.Value, error) {
	if c.frozen { // trials, which run at once, may hold it
		c.lock.Lock()
		defer c.lock.Unlock()
	}
	v, err := c.attr(name)
	if err == nil && v != nil {
		err = c.stopped()
	}
	return v, err
}

func (c *Calibration) attr(name string) (starlark.Value, error) {
	if m, ok := methods[name]; ok {
		return starlark.NewBuiltin("calibration."+name, func(_ *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
			if c.frozen {
				return nil, fmt.Errorf("%s: the calibration is frozen; a function of a trial cannot change it", b.Name())
			}
			said := len(c.steps)
			v, err := m(c, b, args, kwargs)
			if err == nil && len(c.steps) > said {
				if err = c.trouble(); err != nil {
					c.takeBack()
					err = fmt.Errorf("%s: %w", b.Name(), err)
				}
			}
			return v, err
		}).BindReceiver(c), nil
	}
	switch name {
	case "text":
		return starlark.String(c.text()), nil
	case "done":
		return starlark.Bool(c.done()), nil
	case "found":
		return starlark.Bool(c.found()), nil
	case "asked":
		return starlark.MakeInt(c.experiments()), nil
	case "worlds":
		return starlark.MakeInt64(int64(c.left.count())), nil
	case "bits":
		return starlark.Float(math.Log2(max(c.left.count(), 1))), nil
	case "world":
		if w := c.world(); w != nil {
			return w, nil
		}
		return starlark.None, nil
	case "open":
		return c.openValue(), nil
	case "seen":
		return c.seenValue(c.answers()), nil
	case "alone":
		var all []answer
		for _, i := range c.alone() {
			all = append(all, c.answers()[i])
		}
		return c.seenValue(all), nil
	case "clash":
		if !c.torn() {
			return starlark.None, nil
		}
		var all []answer
		for _, i := range c.doubts().least {
			all = append(all, c.answers()[i])
		}
		return c.seenValue(all), nil
	case "rigs":
		return c.rigsValue(), nil
	case "map":
		if len(c.proposal().rigs) == 0 {
			return starlark.None, nil
		}
		return starlark.String(c.proposal().drawing(c.env)), nil
	}
	return nil, nil
}

// seenValue are answers as calibrate(saw=...) takes them.
func (c *Calibration) seenValue(all []answer) starlark.Value {
	list := []starlark.Value{}
	for _, a := range all {
		list = append(list, starlark.Tuple{starlark.String(a.name), starlark.String(a.shown)})
	}
	return starlark.NewList(list)
}

// rigsValue are the rigs of the next experiment.
func (c *Calibration) rigsValue() starlark.Value {
	list := []starlark.Value{}
	for _, r := range c.proposal().rigs {
		possible := []starlark.Value{}
		for _, text := range c.possible(r.table) {
			possible = append(possible, starlark.String(text))
		}
		look := starlark.Value(starlark.None)
		if r.lastLook() > 0 {
			look = starlark.MakeInt(r.lastLook())
		}
		list = append(list, builtins.StructOf("rig", starlark.StringDict{"name": starlark.String(r.name), "about": starlark.String(r.about), "parts": starlark.MakeInt(len(r.parts)),
			"bits": starlark.Float(r.bits), "adds": starlark.Float(r.adds), "look": look, "possible": starlark.NewList(possible)}))
	}
	return starlark.NewList(list)
}

// openValue is a dict from each rule that is not known to the values that it may have.
func (c *Calibration) openValue() starlark.Value {
	d := new(starlark.Dict)
	for _, r := range c.openRules() {
		list := []starlark.Value{}
		for _, v := range r.values {
			list = append(list, starlark.String(v))
		}
		d.SetKey(starlark.String(r.name), starlark.NewList(list))
	}
	return d
}

// world is the world that was found, the first of those that cannot be told apart; nil as long as it is not.
func (c *Calibration) world() *world.World {
	if !c.found() {
		return nil
	}
	return world.New(c.name, c.note(), c.firstLeft(), c.firstKinds())
}

// note says how the world was found, and what of it is not certain.
func (c *Calibration) note() string {
	note := "found by " + say.Count(c.experiments(), "experiment")
	n := c.left.count()
	switch {
	case n > 1 && c.concern != nil:
		note = fmt.Sprintf("one of %.0f that are possible after %s, calibrated for %s", n, say.Count(c.experiments(), "experiment"), c.concerns())
	case n > 1:
		note += fmt.Sprintf("; it may as well be %s", others(n-1))
	}
	if text := c.atLeast(); text != "" {
		note += "; " + text
	}
	return note
}

// others are n more worlds, in words.
func others(n float64) string {
	if n == 1 {
		return "one other"
	}
	return fmt.Sprintf("one of %.0f others", n)
}

// sawCall takes what each rig of the experiment showed.
func (c *Calibration) sawCall(b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	rigs := c.proposal().rigs
	if len(kwargs) > 0 {
		return nil, fmt.Errorf("%s: takes what each rig shows by position, want %s", b.Name(), say.Count(len(rigs), "string"))
	}
	if len(rigs) == 0 {
		return nil, fmt.Errorf("%s: no experiment is open; %s", b.Name(), c.why())
	}
	if len(args) != len(rigs) {
		return nil, fmt.Errorf("%s: got %s, want one for each of the %s, in their order; None where you are not sure", b.Name(), say.Count(len(args), "answer"), say.Count(len(rigs), "rig"))
	}
	shown := make([]string, len(args))
	for i, a := range args {
		if a == starlark.None {
			continue
		}
		text, err := rigs[i].read(builtins.Text(a))
		if err != nil {
			return nil, fmt.Errorf("%s: r%d, %w", b.Name(), i+1, err)
		}
		shown[i] = text
	}
	c.record(shown)
	return c, nil
}

// why says in few words why nothing more is asked.
func (c *Calibration) why() string {
	if c.stopped() != nil {
		return "it was stopped while the next one was chosen"
	}
	if c.torn() {
		return "the answers contradict each other; .back() takes the last ones back"
	}
	if rigs := c.proposal().aside; len(rigs) > 0 {
		return fmt.Sprintf("only %s would find out more, put aside before; .back() goes back to that", builtins.List(rigs, len(rigs), " and "))
	}
	if c.concern != nil && c.left.count() > 1 {
		return "nothing more needs to be asked for " + c.concerns() + "; .back() takes the last answers back"
	}
	return "the world is found; .back() takes the last answers back"
}

// backCall takes the last step back.
func (c *Calibration) backCall(b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	if err := starlark.UnpackArgs(b.Name(), args, kwargs); err != nil {
		return nil, err
	}
	if len(c.steps) == 0 {
		return nil, fmt.Errorf("%s: nothing has been said yet", b.Name())
	}
	c.takeBack()
	return c, nil
}

// skipCall puts rigs of the experiment aside.
func (c *Calibration) skipCall(b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	why, number := "", 0
	if err := starlark.UnpackArgs(b.Name(), args, kwargs, "why", &why, "rig?", &number); err != nil {
		return nil, err
	}
	return c.putAside(b.Name(), why, number)
}

// unsureCall puts the whole experiment aside.
func (c *Calibration) unsureCall(b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	number := 0
	if err := starlark.UnpackArgs(b.Name(), args, kwargs, "rig?", &number); err != nil {
		return nil, err
	}
	return c.putAside(b.Name(), "not sure", number)
}

// putAside sees to it that a rig of the experiment, or all, is not proposed again.
func (c *Calibration) putAside(word, why string, number int) (starlark.Value, error) {
	rigs := c.proposal().rigs
	switch {
	case len(rigs) == 0:
		return nil, fmt.Errorf("%s: no experiment is open; %s", word, c.why())
	case number < 0 || number > len(rigs):
		return nil, fmt.Errorf("%s: for parameter rig: got %d, want 1 to %d", word, number, len(rigs))
	case why == "":
		return nil, fmt.Errorf("%s: for parameter why: got \"\", want a reason, such as \"cannot build\"", word)
	}
	s := step{why: why}
	for i, r := range rigs {
		if number == 0 || number == i+1 {
			s.skips = append(s.skips, r.name)
		}
	}
	c.take(s)
	return c, nil
}

// rehearseCall answers the experiment as a world would: to see how a calibration goes, and for tests.
func (c *Calibration) rehearseCall(b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	var v starlark.Value
	if err := starlark.UnpackArgs(b.Name(), args, kwargs, "world", &v); err != nil {
		return nil, err
	}
	w, ok := v.(builtins.Worldly)
	if !ok {
		return nil, fmt.Errorf("%s: for parameter world: got %s, want a world, as world() gives it", b.Name(), builtins.Show(v))
	}
	if len(c.proposal().rigs) == 0 {
		return nil, fmt.Errorf("%s: no experiment is open; %s", b.Name(), c.why())
	}
	own, err := c.kindsOf(w)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name(), err)
	}
	shown, err := c.proposal().shows(w.Laws(), own)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name(), err)
	}
	c.record(shown)
	return c, nil
}

// buildCall places the experiment on the bench of the session, with its keys' presses.
func (c *Calibration) buildCall(b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	if err := starlark.UnpackArgs(b.Name(), args, kwargs); err != nil {
		return nil, err
	}
	if len(c.proposal().rigs) == 0 {
		return nil, fmt.Errorf("%s: no experiment is open; %s", b.Name(), c.why())
	}
	if c.env.Bench.Len() > 0 {
		return nil, fmt.Errorf("%s: the bench holds %s; take an empty one with fresh()", b.Name(), say.Count(c.env.Bench.Len(), "part"))
	}
	if _, err := c.proposal().lay(c.env.Bench); err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name(), err)
	}
	return starlark.None, nil
}
