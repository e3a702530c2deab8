package differ

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// unlike is one thing that is not the same in both sides: of a part, of a cord, of the rules.
type unlike struct {
	who, what string
	a, b      string // as scripts write it; "" where there is none
	text      string // how it is said, if otherwise than all
}

func (u unlike) String() string {
	switch {
	case u.text != "":
		return u.text
	case u.b == "":
		return fmt.Sprintf("%s: in a only", u.who)
	case u.a == "":
		return fmt.Sprintf("%s: in b only", u.who)
	case u.who == "":
		return fmt.Sprintf("%s: %s in a, %s in b", u.what, u.a, u.b)
	}
	return fmt.Sprintf("%s: %s %s in a, %s in b", u.who, u.what, u.a, u.b)
}

// is is a property of a part as it was placed or posed.
type is struct{ what, text string }

// placed lists what is placed or posed differently, part by part, then cord by cord. posed is false if the history of one side does not tell
// how some part was posed; slugs is how many loose ones lay in a before the first turn. It is for two benches: a log does not tell.
func placed(a, b *side) (all []unlike, slugs int, posed bool) {
	poses := [2]map[engine.ID]engine.State{poses(a), poses(b)}
	posed = true
	for c := range a.first {
		x, y := here(a, c), here(b, c)
		switch {
		case x == 0 && y == 0:
		case y == 0:
			all = append(all, unlike{who: a.described(x), what: "placed", a: a.kindOf(x)})
		case x == 0:
			all = append(all, unlike{who: b.described(y), what: "placed", b: b.kindOf(y)})
		default:
			props := [2][]is{as(a, x, poses[0]), as(b, y, poses[1])}
			if s, t := a.bench.Spec(x), b.bench.Spec(y); s != nil && t != nil && s.Name == t.Name {
				for i, other := range toldAs(t) {
					props[0], props[1] = append(props[0], toldAs(s)[i]), append(props[1], other)
				}
			}
			for _, p := range props[0] {
				i := slices.IndexFunc(props[1], func(q is) bool { return q.what == p.what })
				if i >= 0 && props[1][i].text != p.text {
					all = append(all, unlike{who: a.called(x), what: p.what, a: p.text, b: props[1][i].text})
				}
			}
			posed = posed && a.knows(x, poses[0]) && b.knows(y, poses[1])
		}
	}
	in, other := a.looseSlugs(poses[0]), b.looseSlugs(poses[1])
	all = append(moved(all, a, b), otherSlugs(in, other)...)
	return append(all, cords(a, b)...), len(in), posed
}

// moved makes one line of it if all parts that are in both lie as far apart.
func moved(all []unlike, a, b *side) []unlike {
	var off engine.Cell
	n := 0
	for c := range a.first {
		x, y := here(a, c), here(b, c)
		if x == 0 || y == 0 || a.who(x).shelf || b.who(y).shelf {
			continue
		}
		by := b.frame.Local(b.who(y).cell).Sub(a.frame.Local(a.who(x).cell))
		if n++; n > 1 && by != off {
			return all
		}
		off = by
	}
	if n < 2 || off == (engine.Cell{}) {
		return all
	}
	rest := slices.DeleteFunc(all, func(u unlike) bool { return u.what == "at" })
	return append(rest, unlike{who: fmt.Sprintf("all %d parts", n), what: "at", a: "(0, 0)", b: off.String(),
		text: fmt.Sprintf("all %d parts that are in both lie %v further in b than in a, seen from the frames", n, off)})
}

// described names a part with its cell, on the bench and, if that is another, seen from the frame.
func (s *side) described(id engine.ID) string {
	text := say.Clean(builtins.Describe(s.bench, id))
	if w := s.who(id); !w.shelf && s.frame.Local(w.cell) != w.cell {
		text += fmt.Sprintf(", seen from the frame at %v", s.frame.Local(w.cell))
	}
	return text
}

// here is the part of a class that is on the bench; 0: there is none.
func here(s *side, class int) engine.ID {
	id := s.first[class]
	if id != 0 {
		if w := s.who(id); w.kind == engine.Bare || w.removed {
			return 0
		}
	}
	return id
}

func poses(s *side) map[engine.ID]engine.State {
	all := map[engine.ID]engine.State{}
	s.bench.Posed(func(id engine.ID, state engine.State) {
		if s.has(id) {
			all[id] = state
		}
	})
	return all
}

// knows reports whether it is known how a part was posed.
func (s *side) knows(id engine.ID, poses map[engine.ID]engine.State) bool {
	if s.bench.Spec(id) != nil {
		_, known := s.bench.PlacedIn(id)
		return known
	}
	_, known := poses[id]
	return known
}

// toldAs lists what may not be the same of two kinds of one's own that have one name.
func toldAs(s *engine.Spec) []is {
	return []is{{"table", fmt.Sprintf("%016x", s.Digest())}, {"states", strings.Join(s.States, ", ")}, {"says", strings.Join(s.Says, ", ")}, {"letter", string(s.Letter)}}
}

// as lists how a part was placed, seen from its side's frame, and how it was posed, if that is known.
func as(s *side, id engine.ID, poses map[engine.ID]engine.State) []is {
	t := s.bench.Thing(id)
	at := "the shelf"
	if !t.Shelf {
		at = s.frame.Local(t.Cell).String()
	}
	props, poseable := []is{{"kind", s.bench.KindName(id)}, {"at", at}}, false
	for _, param := range builtins.ParamsOf(builtins.Part{Bench: s.bench, ID: id}) {
		switch name, text := builtins.Text(param[0]), builtins.Show(param[1]); name {
		case "state": // as it is now
		case "on", "out", "tokens", "level":
			poseable = true
		case "facing":
			props = append(props, is{name, s.local(t.Facing, !t.Shelf)})
		case "far":
			if t.Pads == nil {
				props = append(props, is{name, s.local(t.Far, t.FarSet)})
			}
		case "pads":
			props = append(props, is{name, s.pads(t)})
		default:
			props = append(props, is{name, text})
		}
	}
	if state, known := s.bench.PlacedIn(id); known {
		props = append(props, is{"posed", t.Spec.States[state]})
	} else if state, known := poses[id]; known && poseable {
		props = append(props, is{"posed", builtins.Text(builtins.StateValue(t.Kind, state))})
	}
	return props
}

// local is a direction of the bench as it is seen from the frame and as scripts write it, None if it is not given.
func (s *side) local(d engine.Dir, given bool) string {
	if !given {
		return "None"
	}
	seen, _ := engine.DirOf(s.frame.Local(s.frame.At.Add(d.Cell())))
	return strconv.Quote(seen.String())
}

// pads are those that were given, as offsets seen from the frame.
func (s *side) pads(t engine.Thing) string {
	if t.Pads == nil {
		return "the usual ones"
	}
	var texts []string
	for _, off := range t.Pads {
		texts = append(texts, s.frame.Local(s.frame.At.Add(off)).String())
	}
	return "[" + strings.Join(texts, ", ") + "]"
}

// cord is a cord between classes; 0 is a part of neither side.
type cord struct {
	from, to int32
	engine.Cord
}

// cords compares the cords of two benches, of frames those that end at one of their parts.
func cords(a, b *side) (all []unlike) {
	count := map[cord][2]int{}
	name := map[cord]string{}
	var list [2][]cord
	for k, s := range []*side{a, b} {
		for _, p := range s.bench.Cords() {
			if !s.has(p.From) && !s.has(p.To) {
				continue
			}
			c := cord{s.class[p.From], s.class[p.To], p.Cord}
			n := count[c]
			n[k]++
			count[c] = n
			list[k] = append(list[k], c)
			if name[c] == "" {
				name[c] = fmt.Sprintf("cord from %s to %s%s", s.called(p.From), s.called(p.To), carries(p.Cord))
			}
		}
	}
	if slices.Equal(list[0], list[1]) {
		return nil
	}
	seen := map[cord]bool{}
	for _, c := range slices.Concat(list[0], list[1]) {
		if n := count[c]; !seen[c] && n[0] != n[1] {
			u := unlike{who: name[c], what: "laid"}
			if n[0] > 0 {
				u.a = times(n[0])
			}
			if n[1] > 0 {
				u.b = times(n[1])
			}
			all = append(all, u)
		}
		seen[c] = true
	}
	if len(all) == 0 {
		all = append(all, unlike{who: "cords", what: "laid", a: "in one order", b: "in another"})
	}
	return all
}

// cords counts those of a side.
func (s *side) cords() (n int) {
	for _, p := range s.bench.Cords() {
		n += builtins.BoolInt(s.has(p.From) || s.has(p.To))
	}
	return n
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func carries(c engine.Cord) string {
	s := ""
	if !c.Power {
		s += ", without power"
	}
	if !c.News {
		s += ", without news"
	}
	if c.Invert {
		s += ", inverted"
	}
	return s
}

// rules lists the rules that are not the same in both benches, as they are in the end.
func rules(a, b *side) (all []unlike) {
	x, y := a.bench.Rules(), b.bench.Rules()
	add := func(what, in, other string) {
		if in != other {
			all = append(all, unlike{what: what, a: in, b: other})
		}
	}
	add("order", strconv.Quote(builtins.Rules{Rules: x}.OrderText()), strconv.Quote(builtins.Rules{Rules: y}.OrderText()))
	add("news", strconv.Quote(builtins.NewsNames[x.News]), strconv.Quote(builtins.NewsNames[y.News]))
	add("reads", strconv.Quote(builtins.ReadsNames[x.Reads]), strconv.Quote(builtins.ReadsNames[y.Reads]))
	add("travel", strconv.Itoa(x.Travel), strconv.Itoa(y.Travel))
	add("reach", strconv.Itoa(x.Reach), strconv.Itoa(y.Reach))
	add("run", strconv.Itoa(x.Run), strconv.Itoa(y.Run))
	return all
}
