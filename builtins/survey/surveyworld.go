package survey

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// world is what a survey is limited to; an empty list: all that a survey usually tries.
type world struct {
	news   []engine.News
	reads  []engine.Reads
	late   []bool
	travel []starlark.Value
	orders [][6]engine.Dir
	seeds  []uint64 // of mixed orders
	any    bool     // any mixed order
	mixed  int      // cases of each row under such
}

// worldNames are the rules that a survey goes through.
var worldNames = []string{"order", "news", "reads", "fall", "travel"}

// usual puts what a survey usually tries where nothing is limited.
func (o world) usual() world {
	if o.news == nil {
		o.news = []engine.News{engine.FIFO, engine.LIFO}
	}
	if o.reads == nil {
		o.reads = []engine.Reads{engine.ByTurn, engine.ByStep}
	}
	if o.late == nil {
		o.late = []bool{false, true}
	}
	if o.travel == nil {
		o.travel = UsualTravel
	}
	return o
}

// worldArg reads the parameters travel and rules.
func worldArg(c *builtins.Call) (o world) {
	if c.Has("travel") {
		if o.travel = trial.Once(c.Env, c.List("travel")); len(o.travel) == 0 && c.Err == nil {
			c.Bad("travel", "an empty list", "")
		} else if err := c.Env.Stopped(); err != nil {
			c.Wrap(err)
		}
	}
	o.limits(c)
	o.mixedArg(c)
	return o
}

// limits reads the parameter rules.
func (o *world) limits(c *builtins.Call) {
	if c.Err != nil || !c.Has("rules") {
		return
	}
	switch v := c.Value("rules").(type) {
	case builtins.Rules:
		if b := c.Env.Rules(); v.Reach != b.Reach || v.Run != b.Run {
			c.Bad("rules", fmt.Sprintf("reach %d and run %d", v.Reach, v.Run), fmt.Sprintf("those of the bench, %d and %d: set them there with rules", b.Reach, b.Run))
			return
		}
		for _, name := range []string{"order", "news", "reads", "travel"} {
			x, _ := v.Attr(name)
			o.limit(c, name, x)
		}
	case *starlark.Dict:
		for k, x := range v.Entries() {
			name, ok := starlark.AsString(k)
			if !ok {
				c.Bad("rules", "a dict with the key "+builtins.Show(k), "names of rules")
				return
			}
			o.limit(c, name, x)
		}
	default:
		c.Bad("rules", builtins.Show(v), "")
	}
	o.travel = trial.Once(c.Env, o.travel)
}

// limit limits one rule to a value, or to those of a list.
func (o *world) limit(c *builtins.Call, name string, v starlark.Value) {
	if c.Err != nil {
		return
	}
	if !slices.Contains(worldNames, name) {
		c.Fail("for parameter rules: %q is nothing a survey goes through, want one of %s%s", name, builtins.Joined(worldNames), say.DidYouMean(name, worldNames))
		return
	}
	if name == "travel" && o.travel != nil {
		c.Fail("for parameter rules: travel is given twice, here and by travel=")
		return
	}
	vs := []starlark.Value{v}
	if it, ok := v.(starlark.Iterable); ok {
		if _, bad := builtins.OrderOf(v); name != "order" || bad != nil {
			vs = slices.Collect(starlark.Elements(it))
		}
	}
	if len(vs) == 0 {
		c.Bad("rules", "no values of "+name, "at least one")
	}
	seeds := map[uint64]bool{} // there may be many
	for n, x := range vs {
		if c.Wrap(c.Env.StoppedAt(n)); c.Err != nil {
			return
		}
		if name == "order" && x == starlark.String("mixed") {
			o.any = true
			continue
		}
		var s trial.Setting
		if err := s.Set(name, x); err != nil {
			c.Fail("for parameter rules: %w", err)
			return
		}
		switch name {
		case "order":
			switch seed := s.Rules.Seed; {
			case !s.Rules.Mixed:
				o.orders = once(o.orders, s.Rules.Order)
			case !seeds[seed]:
				seeds[seed], o.seeds = true, append(o.seeds, seed)
			}
		case "news":
			o.news = once(o.news, s.Rules.News)
		case "reads":
			o.reads = once(o.reads, s.Rules.Reads)
		case "fall":
			o.late = once(o.late, s.Late)
		case "travel":
			o.travel = append(o.travel, x)
		}
	}
}

// once adds what is not in a list yet.
func once[T comparable](list []T, x T) []T {
	if slices.Contains(list, x) {
		return list
	}
	return append(list, x)
}

// base is the setting from which cases follow: as the bench stands, or the first value where that is not tried.
func (o world) base(s trial.Setting) trial.Setting {
	s.Rules.News, s.Rules.Reads, s.Late = within(o.news, s.Rules.News), within(o.reads, s.Rules.Reads), within(o.late, s.Late)
	if o.orders != nil {
		s.Rules.Order = within(o.orders, s.Rules.Order)
	}
	return s
}

func within[T comparable](list []T, x T) T {
	if slices.Contains(list, x) {
		return x
	}
	return list[0]
}

// leftOut says what of the rules is not tried, but for travel.
func (o world) leftOut() (left []string) {
	if o.onlyMixed() {
		left = append(left, "neighbour orders that are the same in all cells")
	} else if o.orders != nil && len(o.orders) < len(allOrders()) {
		left = append(left, say.Count(len(allOrders())-len(o.orders), "other neighbour order"))
	}
	for _, n := range []engine.News{engine.FIFO, engine.LIFO} {
		if !slices.Contains(o.news, n) {
			left = append(left, "news "+builtins.NewsNames[n])
		}
	}
	for _, r := range []engine.Reads{engine.ByTurn, engine.ByStep} {
		if !slices.Contains(o.reads, r) {
			left = append(left, "reads "+builtins.ReadsNames[r])
		}
	}
	for _, late := range []bool{false, true} {
		if !slices.Contains(o.late, late) {
			left = append(left, trial.Setting{Late: late}.Fall()+" fall")
		}
	}
	return left
}

// stand is what a unit is run as, and for how many orientations and orders it stands.
type stand struct {
	orientation int // in allPoses
	order       [6]engine.Dir
	like        int
}

// orders are the neighbour orders that are tried.
func (p *surveyPlan) orders() [][6]engine.Dir {
	if p.Orders == nil {
		return allOrders()
	}
	return p.Orders
}

// cases is how many cases there are in a row: each orientation under each order.
func (p *surveyPlan) cases() int { return len(allPoses()) * len(p.orders()) }

// standings finds, where the orders are limited, for which of all orientations under them each unit of a layout stands. It is run as
// the first of these, so that nothing is run, and nothing said to fail, under an order that was not asked for.
func (p *surveyPlan) standings(l surveyLayout) []stand {
	all, first := make([]stand, l.units()), 0
	for i := range l {
		pose, at := &l[i], map[string]int{}
		for k := range pose.count() {
			at[orderKey(pose.order(k).Order, pose.Told)] = first + k
		}
		for _, g := range pose.Stands {
			back := pose.back(g)
			for _, o := range p.Orders {
				u, turned := first, o
				for k, d := range o {
					turned[k] = back[d]
				}
				if len(pose.Orders) != 1 {
					var ok bool
					if u, ok = at[orderKey(turned, pose.Told)]; !ok {
						panic("builtins: a case of a survey that nothing stands for")
					}
				}
				if all[u].like == 0 {
					all[u].orientation, all[u].order = g, o
				}
				all[u].like++
			}
		}
		first += pose.count()
	}
	return all
}

// back tells where the turn from an orientation, by its number in allPoses, to a pose takes each direction.
func (p *surveyPose) back(orientation int) [6]engine.Dir {
	g := allPoses()[orientation]
	return turnedFrom(trial.Setting{X: g.X, Y: g.Y, Mirror: g.Mirror}, trial.Setting{X: p.X, Y: p.Y, Mirror: p.Mirror})
}

// stood is as what a unit is run where the orders are limited.
func (p *surveyPlan) stood(u int) stand {
	k, _, _ := p.where(u)
	return p.stands[p.Rows[k].Layout][u-p.starts[k]]
}

// tells reports whether there is a cell, as a unit lies, at which it matters which of two directions comes first.
func (p *surveyPlan) tells(u int, a, b engine.Dir) bool {
	_, pose, _ := p.where(u)
	if p.Orders != nil && !pose.Lot {
		back := pose.back(p.stood(u).orientation)
		a, b = back[a], back[b]
	}
	return pose.tells(a, b)
}

// planned is how many units are run if none are drawn by lot.
func (p *surveyPlan) planned() (n int) {
	for u := range p.starts[p.plainRows()] {
		n += builtins.BoolInt(p.like(u) > 0)
	}
	return n
}

// under names the neighbour orders that are tried.
func (p *surveyPlan) under() string {
	if len(p.orders()) == 1 {
		return fmt.Sprintf("the neighbour order %q, the same in all cells", builtins.Rules{Rules: engine.Rules{Order: p.Orders[0]}}.OrderText())
	}
	return fmt.Sprintf("one of %d neighbour orders, the same in all cells", len(p.orders()))
}
