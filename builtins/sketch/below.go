package sketch

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"pulsewright/engine"
)

// What a legend in the text may say, each line by its own head:
//
//	g: op="xor", ticks=2                   all gates; likewise a kind's name, or a mark
//	(0, 0) (2, 0) to (5, 0): far="+y"      the parts in these cells
//	names: (0, 0) "k" (1, 0) to (5, 0) "line"   names; of a row, line.0, line.1 and so on
//	frame: "r1" at (10, 4) x=+y y=-x z=+z from (10, 4) to (12, 9)   unnamed parts there, named as that frame names them
//	shelf: g op="and", name="adder"; L     parts without a cell, by letter; #1 and #2
//	cords: (0, 0) to #1; #1 to (5, 0) news=False
//	order: (3, 0) #1                       what is placed first

// endText is an end of a cord as the legend writes it.
type endText struct {
	shelf int // from 1; 0: the part in a cell
	cell  engine.Cell
	at    Place
}

// cordLine is a cord, or a part to be placed first.
type cordLine struct {
	from, to endText
	engine.Cord
	first bool
}

// parseBelow reads the legend that stands in the text.
func (r *reader) parseBelow() (entries []Given, frames []frameNames, cords []cordLine, err error) {
	for _, l := range r.below {
		s := &scanner{text: l.text, line: l.line}
		if s.blank(); s.end() {
			continue
		}
		at := s.place()
		if s.text[s.pos] == '(' {
			g := Given{At: at}
			if g.Cells, err = s.cells(); err == nil {
				if !s.take(":") {
					err = s.wrong("a colon behind the cells")
				} else if g.Settings, err = s.whole(); err == nil {
					entries = append(entries, g)
				}
			}
		} else {
			var head string
			head, s.pos = s.head()
			switch head {
			case "":
				err = s.wrong(`an entry of a legend, such as g: op="xor"`)
			case "names":
				entries, err = s.names(entries)
			case "frame":
				var f frameNames
				if f, err = s.frame(at); err == nil {
					frames = append(frames, f)
				}
			case "shelf":
				err = s.shelf(r)
			case "cords":
				cords, err = s.cords(cords)
			case "order":
				cords, err = s.order(cords)
			default:
				g := Given{Sign: head, At: at}
				if g.Settings, err = s.whole(); err == nil {
					entries = append(entries, g)
				}
			}
		}
		if err != nil {
			return nil, nil, nil, err
		}
	}
	return entries, frames, cords, nil
}

// head is the word or sign before the colon, and the position behind it; "" if there is none.
func (s *scanner) head() (string, int) {
	head, _, ok := strings.Cut(s.text[s.pos:], ":")
	if !ok || head == "" || strings.Contains(head, " ") {
		return "", s.pos
	}
	return head, s.pos + len(head) + 1
}

// whole passes settings up to the end of the line.
func (s *scanner) whole() ([]Setting, error) {
	set, err := s.settings()
	if err == nil && !s.end() {
		err = s.wrong("settings such as ticks=3")
	}
	return set, err
}

// names: (0, 0) "k" (1, 0) to (5, 0) "line"
func (s *scanner) names(entries []Given) ([]Given, error) {
	for s.blank(); !s.end(); s.blank() {
		at := s.place()
		c, err := s.cell()
		if err != nil {
			return nil, err
		}
		var row []engine.Cell
		isRow := s.take("to ")
		if isRow {
			from := s.pos
			to, err := s.cell()
			if err != nil {
				return nil, err
			}
			ok := false
			if row, ok = straight(c, to); !ok {
				s.pos = from
				return nil, s.wrong("a cell in a straight line with " + c.String())
			}
		}
		name, err := s.quoted()
		if err != nil {
			return nil, err
		}
		for i, c := range append([]engine.Cell{c}, row...) {
			n := name
			if isRow {
				n += "." + strconv.Itoa(i)
			}
			entries = append(entries, Given{Cells: []engine.Cell{c}, Settings: []Setting{{Key: "name", Val: n, At: at}}, At: at})
		}
	}
	return entries, nil
}

// frame: "r1" at (10, 4) x=+y y=-x z=+z from (10, 4) to (12, 9)
func (s *scanner) frame(at Place) (f frameNames, err error) {
	f.at = at
	if f.name, err = s.quoted(); err != nil {
		return f, err
	}
	if !s.take("at ") {
		return f, s.wrong("at and the cell of the frame's (0, 0, 0)")
	}
	if f.origin, err = s.cell(); err != nil {
		return f, err
	}
	for i, axis := range []string{"x=", "y=", "z="} {
		ok := s.take(axis) && s.pos+2 <= len(s.text)
		if ok {
			if f.axes[i], ok = engine.ParseDir(s.text[s.pos : s.pos+2]); ok {
				s.pos += 2
			}
		}
		if !ok {
			return f, s.wrong(fmt.Sprintf("%s and a direction such as +x", axis))
		}
	}
	if !s.take("from ") {
		return f, s.wrong("from and a corner of the box in which its parts lie")
	}
	if f.lo, err = s.cell(); err != nil {
		return f, err
	}
	if !s.take("to ") {
		return f, s.wrong("to and the other corner")
	}
	if f.hi, err = s.cell(); err == nil && !s.end() {
		err = s.wrong("the end of the line")
	}
	a, b := f.lo, f.hi
	f.lo = engine.Cell{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
	f.hi = engine.Cell{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
	return f, err
}

// shelf: g op="and", name="adder"; L
func (s *scanner) shelf(r *reader) error {
	for s.blank(); !s.end(); s.blank() {
		t := Tile{At: s.place()}
		word := s.word()
		k, capital, ok := engine.Kind(0), false, false
		var of []*engine.Spec
		if len(word) == 1 {
			k, capital, ok = kindOf(rune(word[0]))
			of, _ = r.ownOf(rune(word[0]))
		}
		if !ok && of == nil {
			s.pos -= len(word)
			return s.wrong("the letter of a kind")
		}
		if t.Kind = k; of != nil {
			t.Kind, t.own = engine.Told, &own{among: of, capital: unicode.IsUpper(rune(word[0]))}
		} else if err := t.pose(capital, t.At); err != nil {
			return err
		}
		set, err := s.settings()
		if err != nil {
			return err
		}
		for _, one := range set {
			if err := t.apply(one); err != nil {
				return err
			}
		}
		r.plan.Shelf = append(r.plan.Shelf, t)
		if !s.take(";") && !s.end() {
			return s.wrong("a semicolon between parts")
		}
	}
	return nil
}

// cordEnd passes a cell, or #1 and so on for a part on the shelf.
func (s *scanner) cordEnd() (e endText, err error) {
	s.blank()
	e.at = s.place()
	if !s.take("#") {
		e.cell, err = s.cell()
		return e, err
	}
	n, ok := s.integer()
	if !ok || n < 1 || n > engine.Limit {
		return e, s.wrong("the number of a part on the shelf, from 1")
	}
	e.shelf = int(n)
	return e, nil
}

// cords: (0, 0) to #1; #1 to (5, 0) news=False
func (s *scanner) cords(all []cordLine) ([]cordLine, error) {
	for s.blank(); !s.end(); s.blank() {
		l := cordLine{Cord: engine.Cord{Power: true, News: true}}
		var err error
		if l.from, err = s.cordEnd(); err != nil {
			return nil, err
		}
		if !s.take("to ") {
			return nil, s.wrong("to and the part a cord goes to")
		}
		if l.to, err = s.cordEnd(); err != nil {
			return nil, err
		}
		set, err := s.settings()
		if err != nil {
			return nil, err
		}
		for _, one := range set {
			to, ok := map[string]*bool{"power": &l.Power, "news": &l.News, "invert": &l.Invert}[one.Key]
			on, isBool := one.Val.(bool)
			if !ok || !isBool {
				return nil, wrong(one.At, "%s=%s of a cord, want power, news or invert, True or False", one.Key, showVal(one.Val))
			}
			*to = on
		}
		all = append(all, l)
		if !s.take(";") && !s.end() {
			return nil, s.wrong("a semicolon between cords")
		}
	}
	return all, nil
}

// order: (3, 0) #1
func (s *scanner) order(all []cordLine) ([]cordLine, error) {
	for s.blank(); !s.end(); s.blank() {
		e, err := s.cordEnd()
		if err != nil {
			return nil, err
		}
		all = append(all, cordLine{from: e, first: true})
	}
	return all, nil
}
