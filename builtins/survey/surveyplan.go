package survey

import (
	"fmt"
	"slices"
	"sort"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"
)

// surveyPlan is what is to be run; it is the same in every process that makes it from the same design.
type surveyPlan struct {
	Format   string          `json:"format"`
	Design   string          `json:"design"`
	Version  string          `json:"version,omitempty"`
	Author   string          `json:"author,omitempty"`
	Numbers  []string        `json:"numbers"`
	Sendings []int           `json:"sendings"` // what a case sends: numbers, counted from 0
	Base     trial.Setting   `json:"base"`
	Orders   [][6]engine.Dir `json:"orders,omitempty"` // that alone are tried; none: all 720
	Mixed    int             `json:"mixed,omitempty"`  // cases of each row under mixed orders
	Seeds    []uint64        `json:"seeds,omitempty"`  // of the mixed orders that alone are tried
	Rows     []surveyRow     `json:"rows"`
	Layouts  []surveyLayout  `json:"layouts"`
	Sample   int             `json:"sample,omitempty"` // cases drawn by lot for each row; 0: all are run
	Drawn    [][]int         `json:"drawn,omitempty"`  // for each row: the unit of each case drawn
	Seed     int64           `json:"seed"`
	Limits   limits          `json:"limits"`
	Compared int64           `json:"compared,omitempty"` // so many turns of a sending were compared where one follows from another; 0: all
	Asked    builtins.Asked  `json:"asked"`              // what build, send and read were seen to ask for
	Apart    string          `json:"apart,omitempty"`    // why nothing follows from anything else
	Down     bool            `json:"down"`               // the design has buckets
	Checked  int             `json:"checked,omitempty"`  // cases that follow and were run all the same, to check
	Preamble string          `json:"preamble"`           // a script that defines build, send and read; "" if there is none
	Why      string          `json:"why"`                // why there is none
	Slice    string          `json:"slice,omitempty"`    // a script that defines slice
	Pitch    engine.Cell     `json:"pitch,omitempty"`    // what lies between two slices
	Size     int             `json:"size"`               // of a design that comes in sizes
	Untried  []string        `json:"untried,omitempty"`
	Code     string          `json:"code,omitempty"` // a sum of the text of all that the design reaches; of portions only
	Check    string          `json:"check"`          // of all of this

	starts []int     // the first unit of each row, and how many units there are in all
	stands [][]stand // where the orders are limited: of each layout
}

// surveyRow is one row of the table: a machine under one setting.
type surveyRow struct {
	trial.Setting
	Mixed  bool  `json:",omitempty"` // each cell has an order of its own; cases are drawn by lot
	Slices int   `json:",omitempty"` // of the chain that is tried; 0: the machine as built
	Layout int   // what is run for it
	Only   []int `json:",omitempty"` // if not nil, these units alone are run: all of them were stopped
}

// surveyLayout is what is run of 48 orientations and 720 orders.
type surveyLayout []surveyPose

// surveyPose is one orientation that is run.
type surveyPose struct {
	X, Y   engine.Dir
	Mirror bool
	Lot    bool          `json:",omitempty"` // a case under the mixed orders of Seed, at a place
	At     engine.Cell   `json:",omitzero"`
	Seed   uint64        `json:",omitempty"`
	Stands []int         // the orientations it stands for, by their number in allPoses, itself too
	Orders []surveyOrder // those that are run in it; none: all 720
	Told   []int         // sets of directions, as bits, that lead somewhere at one cell: only orders within these matter
}

type surveyOrder struct {
	Order [6]engine.Dir
	Like  int // orders for which it stands
}

func (p *surveyPose) count() int {
	if p.Orders == nil {
		return len(allOrders())
	}
	return len(p.Orders)
}

func (p *surveyPose) order(i int) surveyOrder {
	if p.Orders == nil {
		return surveyOrder{allOrders()[i], 1}
	}
	return p.Orders[i]
}

// tells reports whether there is a cell in that orientation at which it matters which of two directions comes first.
func (p *surveyPose) tells(a, b engine.Dir) bool {
	return slices.ContainsFunc(p.Told, func(m int) bool { return inMask(m, a, b) })
}

// inMask reports whether two directions are in a set of directions.
func inMask(m int, a, b engine.Dir) bool { return (m>>a)&1 != 0 && (m>>b)&1 != 0 }

// units is how many cases are run of a layout.
func (l surveyLayout) units() (n int) {
	for i := range l {
		n += l[i].count()
	}
	return n
}

// plan finds out what has to be run.
func (w *Survey) plan(settings []trial.Setting, most int64, preamble trial.Script) error {
	p := &surveyPlan{Format: surveyFormat, Design: w.m.Name, Version: w.m.Version, Author: w.m.Author, Base: w.base, Orders: w.orders, Mixed: w.mixed, Seeds: w.seeds,
		Seed: w.Env.Seed, Preamble: preamble.Text, Why: preamble.Why, Slice: preamble.Slice, Pitch: w.m.Pitch, Limits: w.limits, Sendings: sendings(len(w.numbers))}
	if w.m.Sized {
		p.Size = w.size
	}
	for _, n := range w.numbers {
		text, err := trial.Literal(n)
		if err != nil {
			text = n.String()
		}
		p.Numbers = append(p.Numbers, text)
	}
	w.Plan, w.done = p, map[int]surveyResult{}
	if err := w.tryChain(); err != nil {
		return err
	}
	p.Untried = slices.Concat(w.untried, w.left)
	if w.m.Sized {
		p.Untried = append(p.Untried, fmt.Sprintf("sizes other than %d", w.size))
	}
	if rows := int64(len(w.forms) * len(settings) * len(p.Sendings)); w.share {
		w.mixed = max(min(mixedUsual, int(most/(2*rows))), 1)
		p.Mixed = w.mixed
	}
	for _, mixed := range w.sorts() {
		for _, f := range w.forms {
			for _, s := range settings {
				p.Rows = append(p.Rows, surveyRow{Setting: s, Mixed: mixed, Slices: f.slices})
			}
		}
	}
	for again := true; again; {
		known := w.asked
		if err := w.layouts(); err != nil {
			return err
		}
		p.count()
		if again = w.asked != known; again {
			continue
		}
		if why, err := w.guard(); err != nil {
			return err
		} else if why != "" {
			w.apart = why
		}
		again = w.asked != known || p.Apart == "" && w.apart != ""
	}
	p.Asked = w.asked
	runs := int64(p.planned()) * int64(len(p.Sendings))
	if runs > most {
		p.Sample = max(int(most/int64(p.plainRows()*len(p.Sendings))), 1)
		p.draw()
	}
	if err := w.scout(); err != nil {
		return err
	}
	p.Check = p.Sum()
	return w.Env.Stopped()
}

// layouts finds out what has to be run for each row. What functions ask for may make them do something else: a rule they
// ask for, under each setting; the order or the place, in each case.
func (w *Survey) layouts() error {
	p := w.Plan
	p.Apart, p.Down = w.apart, false
	if w.asked&builtins.AskedOrder != 0 && p.Apart == "" {
		if p.Apart = "build, send or read asks for the neighbour order"; w.word != "" {
			p.Apart = fmt.Sprintf("build, send or read asks for %s(...), which may go by the neighbour order and by where something lies", w.word)
		}
	}
	if p.Apart != "" {
		p.Layouts = []surveyLayout{apartLayout()}
		for i := range p.Rows {
			p.Rows[i].Layout = 0
		}
		p.layMixed()
		return w.Env.Stopped()
	}
	p.Layouts = nil
	for i := range p.plainRows() {
		row := &p.Rows[i]
		s := row.Setting
		if w.asked&(builtins.AskedNews|builtins.AskedReads|builtins.AskedTravel|builtins.AskedFall) == 0 {
			if i > 0 && p.Rows[i-1].Slices == row.Slices {
				row.Layout = p.Rows[i-1].Layout
				continue
			}
			s = w.base
		}
		l, err := w.layout(w.form(row.Slices), s)
		if err != nil {
			return err
		}
		row.Layout = len(p.Layouts)
		p.Layouts = append(p.Layouts, l)
	}
	p.layMixed()
	return w.Env.Stopped()
}

// apartLayout runs every orientation under every order.
func apartLayout() (l surveyLayout) {
	for i, p := range allPoses() {
		p.Stands, p.Told = []int{i}, []int{63}
		l = append(l, p)
	}
	return l
}

// count numbers the units.
func (p *surveyPlan) count() {
	p.starts = []int{0}
	for k := range p.Rows {
		p.starts = append(p.starts, p.starts[k]+p.Layouts[p.Rows[k].Layout].units())
	}
	p.stands = nil
	for i := 0; i < len(p.Layouts) && p.Orders != nil && !p.Layouts[i].lot(); i++ {
		p.stands = append(p.stands, p.standings(p.Layouts[i]))
	}
}

// where takes a unit apart.
func (p *surveyPlan) where(u int) (row int, pose *surveyPose, order int) {
	row = sort.SearchInts(p.starts, u+1) - 1
	u -= p.starts[row]
	l := p.Layouts[p.Rows[row].Layout]
	if l.lot() {
		return row, &l[u], 0
	}
	for i := range l {
		if u < l[i].count() {
			return row, &l[i], u
		}
		u -= l[i].count()
	}
	panic("builtins: no such unit of a survey")
}

func (p *surveyPlan) row(u int) *surveyRow {
	k, _, _ := p.where(u)
	return &p.Rows[k]
}

func (p *surveyPlan) setting(u int) trial.Setting {
	k, pose, o := p.where(u)
	s := p.Rows[k].Setting
	s.X, s.Y, s.Mirror, s.Rules.Order = pose.X, pose.Y, pose.Mirror, pose.order(o).Order
	switch {
	case pose.Lot:
		s.At, s.Rules.Mixed, s.Rules.Seed = pose.At, true, pose.Seed
	case p.Orders != nil:
		st := p.stood(u)
		g := allPoses()[st.orientation]
		s.X, s.Y, s.Mirror, s.Rules.Order = g.X, g.Y, g.Mirror, st.order
	}
	return s
}

// like is for how many orientations and orders a unit stands.
func (p *surveyPlan) like(u int) int {
	_, pose, o := p.where(u)
	if p.Orders != nil && !pose.Lot {
		return p.stood(u).like
	}
	return len(pose.Stands) * pose.order(o).Like
}

// find is the unit that stands for an orientation, by its number in allPoses, under an order, in a row.
func (p *surveyPlan) find(row, orientation int, order [6]engine.Dir) int {
	u := p.starts[row]
	l := p.Layouts[p.Rows[row].Layout]
	for i := range l {
		pose := &l[i]
		if !slices.Contains(pose.Stands, orientation) {
			u += pose.count()
			continue
		}
		back := pose.back(orientation)
		for k, d := range order {
			order[k] = back[d]
		}
		key := orderKey(order, pose.Told)
		for k := range pose.count() {
			if len(pose.Orders) == 1 || orderKey(pose.order(k).Order, pose.Told) == key {
				return u + k
			}
		}
	}
	panic("builtins: a case of a survey that nothing stands for")
}

// unitsOf are the units of a row that are run, ascending: one drawn twice is run once.
func (p *surveyPlan) unitsOf(k int) (units []int) {
	switch row := &p.Rows[k]; {
	case row.Only != nil:
		return row.Only
	case p.Sample > 0 && !row.Mixed:
		units = slices.Clone(p.Drawn[k])
		slices.Sort(units)
		return slices.Compact(units)
	}
	drawn := p.Layouts[p.Rows[k].Layout].lot() // each stands for itself
	units = make([]int, 0, p.starts[k+1]-p.starts[k])
	for u := p.starts[k]; u < p.starts[k+1]; u++ {
		if drawn || p.like(u) > 0 {
			units = append(units, u)
		}
	}
	return units
}

// units are those a portion has to do, ascending.
func (w *Survey) units(sh builtins.Portion) (units []int) {
	if w.Plan.starts == nil {
		w.Plan.count()
	}
	i := 0
	units = make([]int, 0, w.Plan.starts[len(w.Plan.Rows)]/sh.Count+1)
	for k := range w.Plan.Rows {
		for _, u := range w.Plan.unitsOf(k) {
			if i%sh.Count == sh.Index-1 {
				units = append(units, u)
			}
			i++
		}
	}
	return units
}

// mostScouts is how many cases of a row must have been stopped before the rest is left out.
const mostScouts = 3

// scout tries a few cases of each row: the first, the middle one and the last. If all of them are stopped by the limits the design
// runs away there for the numbers sent, and the rest of the row is not tried.
func (w *Survey) scout() error {
	p := w.Plan
	only := make([][]int, len(p.Rows))
	err := w.Each("", len(p.Rows), func(r *trial.Runner, k int) error {
		units := p.unitsOf(k)
		if len(units) <= mostScouts {
			return nil
		}
		for _, i := range []int{0, len(units) / 2, len(units) - 1} {
			res, err := w.unit(r, units[i])
			if err != nil {
				return err
			}
			w.keep(res)
			if res.Kind != stopped {
				return nil
			}
			only[k] = append(only[k], units[i])
		}
		return nil
	}, nil)
	for k, units := range only {
		if len(units) == mostScouts {
			p.Rows[k].Only = units
		}
	}
	return err
}

// tryChain builds the chain of slices a design is surveyed as, too.
func (w *Survey) tryChain() error {
	w.forms, w.untried = []surveyForm{{w.m, w.size, 0}}, nil
	switch m := w.m; {
	case m.Sized || m.Slice == nil:
		return nil
	case m.Pitch == engine.Cell{}:
		w.untried = append(w.untried, fmt.Sprintf("a chain of %d slices: the design names no pitch", chainOf))
		return nil
	}
	chain := *w.m
	chain.Chained = true
	f := surveyForm{&chain, chainOf, chainOf}
	t, err := w.Runner(0).Rigged(f.m, w.base, f.size)
	if err == nil {
		err = t.Give(w.numbers[0])
	}
	if err != nil {
		if w.Env.Stopped() != nil {
			return err
		}
		w.untried = append(w.untried, fmt.Sprintf("a chain of %d slices: %s", chainOf, say.Clean(builtins.Message(err))))
		return nil
	}
	w.forms = append(w.forms, f)
	return nil
}
