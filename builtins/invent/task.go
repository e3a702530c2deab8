package invent

import (
	"errors"
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// task is what a machine is to do: a pulse is fired into one cell, and at another there is to be a pulse of a certain width, or what goes
// on in the machine is to tell one number from another. In the end everything stands as before.
type task struct {
	into, out engine.Cell
	intos     []engine.Cell // of which one is into
	outs      []engine.Cell // of which one is out; none: nothing comes out
	tells     bool          // no out: the parts that act tell the numbers apart
	numbers   []int
	wants     []int // widths, in steps; -1: no pulse
	later     int   // the step in which it begins; -1: any
	inverted  bool  // it is live at rest, and a pulse is a time in which it is dead
	late      bool  // how pulses fall
}

func (t *task) Type() string          { return "task" }
func (t *task) Freeze()               {}
func (t *task) Truth() starlark.Bool  { return starlark.True }
func (t *task) Hash() (uint32, error) { return 0, errors.New("a task cannot be a key of a dict") }

func (t *task) String() string {
	if t.tells {
		return fmt.Sprintf("task: pulses of %s steps, fired into %s, set off other parts each", say.Ranges(t.numbers), oneOf(t.intos))
	}
	return fmt.Sprintf("task: pulses of %s steps, fired into %s, come out at %s", say.Ranges(t.numbers), oneOf(t.intos), oneOf(t.outs))
}

// oneOf names a cell, or says out of how many one may be taken.
func oneOf(cells []engine.Cell) string {
	if len(cells) == 1 {
		return cells[0].String()
	}
	return fmt.Sprintf("one of %d cells", len(cells))
}

// portsArg reads a cell, or a list of cells.
func portsArg(c *builtins.Call, param string) (cells []engine.Cell) {
	if c.Err != nil || !c.Has(param) {
		return nil
	}
	if at, ok := builtins.AsCell(c.Value(param)); ok {
		return []engine.Cell{at}
	}
	for _, v := range c.List(param) {
		at := c.CellIn(param, v)
		if slices.Contains(cells, at) && c.Err == nil {
			c.Bad(param, fmt.Sprintf("%v twice", at), "each cell once")
		}
		cells = append(cells, at)
	}
	if len(cells) == 0 && c.Err == nil {
		c.Bad(param, "no cells", "at least one")
	}
	if len(cells) > mostCells && c.Err == nil {
		c.Bad(param, fmt.Sprintf("%d cells", len(cells)), fmt.Sprintf("at most %d", mostCells))
	}
	return cells
}

func taskWords() []builtins.Entry {
	return []builtins.Entry{{Name: "task", Topic: "invention", Sentence: "Says what a machine is to do, for search: which pulse comes out of one cell when one is fired into another. In the end everything must stand as it did.",
		Params: []builtins.Param{
			{Name: "into", Type: "cell or list of cells", Doc: "where pulses are fired; whatever lies there is forced live. Of several cells a search tries each"},
			{Name: "out", Type: "cell or list of cells", Default: "None", Optional: true, Doc: "where they come out: a part must stand there; of several cells a search tries each; None: the numbers are to be told apart, by which parts go on, out or lit (conductors do not count)"},
			{Name: "over", Type: "a list of numbers", Unit: "steps", Doc: "the widths to fire"},
			{Name: "want", Type: "function", Default: "None", Optional: true, Doc: "want(n): the width that comes out for n steps, or None for no pulse; None: n itself"},
			{Name: "later", Type: "number", Unit: "steps", Default: "None", Optional: true, Keyword: true, Doc: "how much later it must come out; None: in any step of the same tick"},
			{Name: "inverted", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: the place is on at rest, and what comes out is a time in which it is off"},
			{Name: "fall", Type: "string", Default: `"early"`, Optional: true, Keyword: true, Allowed: []string{"early", "late"}, Doc: "how what is fired falls, as fire has it"}},
		Returns: "a task", Example: "t = task((0, 0), (1, 0), [2, 3, 5], later=1)\nprint(t)", See: []string{"search", "fire"}, Call: makeTask}}
}

// widest is the widest pulse that a task may fire or want.
const widest = 1000

func makeTask(c *builtins.Call) (starlark.Value, error) {
	t := &task{intos: portsArg(c, "into"), later: c.Small("later", -1, 0), inverted: c.Bool("inverted", false), late: c.Choice("fall", "early") == "late"}
	if t.tells = !c.Has("out"); !t.tells {
		t.outs = portsArg(c, "out")
	}
	it, ok := c.Value("over").(starlark.Iterable)
	if !ok && c.Err == nil {
		c.Bad("over", builtins.Show(c.Value("over")), "")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	if t.tells && (c.Has("want") || c.Has("later") || t.inverted) {
		return nil, c.Fail("without out= nothing comes out, so that want, later and inverted mean nothing; give out=, or leave them out")
	}
	if _, ok := c.Value("want").(starlark.Callable); c.Has("want") && !ok {
		return nil, c.Bad("want", builtins.Show(c.Value("want")), "")
	}
	for v := range starlark.Elements(it) {
		n, err := starlark.AsInt32(v)
		if err != nil || n < 0 || n > widest {
			return nil, c.Bad("over", builtins.Show(v), fmt.Sprintf("widths from 0 to %d steps", widest))
		}
		if slices.Contains(t.numbers, n) {
			return nil, c.Bad("over", fmt.Sprintf("%d twice", n), "each width once")
		}
		w := n
		if c.Has("want") {
			got, err := starlark.Call(c.Thread, c.Value("want"), starlark.Tuple{v}, nil)
			if err != nil {
				return nil, c.Wrap(err)
			}
			if w = -1; got != starlark.None {
				if w, err = starlark.AsInt32(got); err != nil || w < 0 || w > widest {
					return nil, c.Fail("want(%d) gives %s, want a width from 0 to %d steps, or None", n, builtins.Show(got), widest)
				}
			}
		}
		t.numbers, t.wants = append(t.numbers, n), append(t.wants, w)
	}
	if t.into = t.intos[0]; !t.tells {
		t.out = t.outs[0]
	}
	if len(t.numbers) == 0 {
		return nil, c.Bad("over", "no widths", "at least one")
	}
	if !slices.ContainsFunc(t.wants, func(w int) bool { return w >= 0 }) {
		return nil, c.Fail("want gives None for every number, which any part does that nothing reaches; want a width for at least one")
	}
	return t, nil
}

// seen is what is seen of one sending: the edges at a place, as they come, and which cells act.
type seen struct {
	edges int
	first bool // the first was a rise
	from  engine.Instant
	to    engine.Instant
	acts  uint64 // a bit for each cell of the box
}

// see takes in an event.
func (s *seen) see(e engine.Event, out engine.ID, conducts bool, bit uint64) {
	up, ok := false, false
	switch e.What {
	case engine.On, engine.Out, engine.Lit, engine.Live:
		up, ok = true, true
	case engine.Off, engine.Home, engine.Dark, engine.Dead:
		ok = true
	case engine.Enters:
		up, ok = e.Arg&engine.ActiveState != 0, true
	}
	if !ok {
		return
	}
	if !conducts {
		s.acts |= bit
	}
	if e.ID != out {
		return
	}
	if s.edges++; s.edges == 1 {
		s.first, s.from = up, e.At()
	}
	s.to = e.At()
}

// right reports whether number k, fired in a tick, came out as it is wanted.
func (t *task) right(k int, s *seen, tick int64) bool {
	if t.wants[k] < 0 {
		return s.edges == 0
	}
	return s.edges == 2 && s.first != t.inverted && s.from.Tick == s.to.Tick && s.from.Tick == tick && s.to.Step-s.from.Step == t.wants[k] && (t.later < 0 || s.from.Step == t.later)
}
