package sketch

import (
	"strings"
	"unicode"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// tiles reads the cells of all rows.
func (r *reader) tiles() error {
	left := r.left()
	r.plan.Tiles = make([]Tile, 0, r.signs())
	for li := range r.layers {
		l := &r.layers[li]
		for bi := range l.bands {
			b := &l.bands[bi]
			b.count()
			if b.axis == nil {
				at := left
				if len(b.rows) > 0 && b.rows[0].number {
					at = b.rows[0].from
				}
				b.axis = []segment{{at, unbounded, 0}}
			}
			for ri := range b.rows {
				if err := r.row(&b.rows[ri], b.axis, l.z); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// signs counts the letters and wires of a drawing: so many parts at most.
func (r *reader) signs() (n int) {
	for _, l := range r.layers {
		for _, b := range l.bands {
			for _, rw := range b.rows {
				for _, c := range rw.text {
					if isNode(c) || 'A' <= c && c <= 'Z' || 'a' <= c && c <= 'z' {
						n++
					}
				}
			}
		}
	}
	return n
}

// left is the first column of a drawing without numbers: that of its leftmost sign, or one before if that sign stands in the
// middle of its cell.
func (r *reader) left() int {
	left := unbounded
	for _, l := range r.layers {
		for _, b := range l.bands {
			for _, rw := range b.rows {
				for i, c := range rw.text {
					if c == ' ' {
						continue
					}
					if !rw.number && b.axis == nil {
						if isMiddle(c) {
							i--
						}
						left = min(left, i)
					}
					break
				}
			}
		}
	}
	return left
}

// count numbers the rows of a band that have no numbers: the lowest is 0.
func (b *band) count() {
	y := int32(b.gaps)
	for i := len(b.rows) - 1; i >= 0; i-- {
		if rw := &b.rows[i]; !rw.number {
			rw.y = y
			y = min(y+1+rw.up, engine.Limit)
		}
	}
}

// row reads the cells of one row.
func (r *reader) row(rw *row, axis []segment, z int32) error {
	column := max(rw.from, 0) // what has been read
	for _, s := range axis {
		if fold := s.at < 0 && s.end < unbounded; fold {
			s.at = s.end
		}
		if err := rw.blank(column, s.at); err != nil {
			return err
		}
		x := s.x
		for i := s.at; i < len(rw.text) && i < s.end; i += tileWidth {
			if err := r.cell(rw, i, engine.Cell{X: x, Y: rw.y, Z: z}); err != nil {
				return err
			}
			if x++; x > engine.Limit {
				return wrong(Place{Line: rw.line, Column: i + 1}, "a cell outside the lattice; coordinates go from %d to %d", -engine.Limit, engine.Limit)
			}
			column = i + tileWidth
		}
		column = max(column, min(s.end, len(rw.text)))
	}
	return nil
}

// blank makes sure that nothing stands where there are no cells.
func (rw *row) blank(from, to int) error {
	for i := from; i < min(to, len(rw.text)); i++ {
		if rw.text[i] != ' ' {
			return wrong(Place{Line: rw.line, Column: i + 1}, "%q stands where there is no cell: before the first column, or in a fold", rw.text[i])
		}
	}
	return nil
}

// sign is what stands in a column of a row, a blank beyond its ends.
func (rw *row) sign(i int) rune {
	if i < rw.from || i >= len(rw.text) {
		return ' '
	}
	return rw.text[i]
}

// cell reads one cell: its three signs from column i on.
func (r *reader) cell(rw *row, i int, cell engine.Cell) error {
	a, m, c := rw.sign(i), rw.sign(i+1), rw.sign(i+2)
	place := func(k int) Place { return Place{Line: rw.line, Column: i + k + 1} }
	switch {
	case a == ' ' && m == ' ' && c == ' ':
		return nil
	case a == ' ' && (m == ' ' || isDot(m)) && (c == ' ' || c == Forced):
		if c == Forced {
			return underWay(c, place(2))
		}
		return nil
	case a == '(':
		return r.seat(m, c, ')', cell, place)
	case a == '[' && isJack(m):
		slug, ok := slugOf(c)
		if !ok {
			return wrong(place(2), "%q is no slug, want p, f or b behind [j: a plug, a feed or a bridge", c)
		}
		r.loose(cell, slug, place(2))
		r.plan.Tiles = append(r.plan.Tiles, Tile{Cell: cell, Part: engine.Part{Kind: engine.Jack}, At: place(1)})
		return nil
	case a == '[':
		return r.seat(m, c, ']', cell, place)
	}
	t := Tile{Cell: cell, At: place(0)}
	var err error
	if (isNode(m) || isJack(m)) && (a == ' ' || isArm(a)) {
		t.At = place(1)
		err = r.conductor(&t, m, c, place)
	} else {
		err = r.part(&t, a, m, c, place)
	}
	if err == nil {
		r.plan.Tiles = append(r.plan.Tiles, t)
	}
	return err
}

// conductor reads a wire or a jack: it stands in the middle, with arms to its neighbours, which say nothing.
func (r *reader) conductor(t *Tile, m, c rune, place func(int) Place) error {
	t.Kind = engine.Wire
	if isJack(m) {
		t.Kind = engine.Jack
	}
	if slug, ok := slugOf(c); ok && t.Kind == engine.Jack {
		r.sit(t.Cell, slug, place(2))
		return nil
	}
	if isArm(c) {
		return nil
	}
	return r.mark(t, c, false, place(2))
}

// part reads any other part: its letter, which way it faces or what it holds, a mark.
func (r *reader) part(t *Tile, a, m, c rune, place func(int) Place) error {
	k, capital, ok := kindOf(a)
	own, _ := r.ownOf(a)
	switch {
	case a == ' ' && m != ' ':
		return wrong(place(1), "%q in the middle of a cell, want a wire, a jack or a dot there; a part's letter stands at the left, so cells may be out of line", m)
	case a == ' ':
		return wrong(place(2), "%q with nothing before it, want a part's letter two columns to its left", c)
	case isNode(a) || isDot(a):
		return wrong(place(0), "%q at the left of a cell, want it in the middle, one column on: the cells are out of line, each is %d columns wide", a, tileWidth)
	case own != nil:
		return r.ownPart(t, own, a, m, c, place)
	case !ok:
		return wrong(place(0), "%q is no part, want %s%s", a, r.signsAllowed(), r.unknown(a))
	case k == engine.Wire || k == engine.Jack:
		return wrong(place(0), "%q at the left of a cell, want it in the middle, one column on: a wire is %c or %c, a jack j", a, say.GWire.Sign(false), say.GWire.Sign(true))
	}
	t.Kind = k
	if err := t.pose(capital, place(0)); err != nil {
		return err
	}
	switch {
	case k.Trait().Faces:
		if t.Facing, ok = facingOf(m); !ok {
			return wrong(place(1), "%s which way a %v faces, want %s", standing(m, "does not say"), k, facingSigns())
		}
	case k == engine.Tray:
		if err := t.count(m, capital, place(1)); err != nil {
			return err
		}
	case m != ' ':
		return wrong(place(1), "%q behind a %v, which has no facing; want a blank", m, k)
	}
	if k == engine.Meter && (c >= '0' && c <= '9' || is(c, say.GMany)) {
		if capital != (c != '0') {
			return wrong(place(2), "%q beside %c, want m at level 0 and M at any other", c, a)
		}
		if t.many = is(c, say.GMany); !t.many {
			t.Level = int(c - '0')
		}
		return nil
	}
	return r.mark(t, c, capital, place(2))
}

// standing says what a sign does.
func standing(r rune, does string) string {
	if r == ' ' {
		return "a blank " + does
	}
	return strings.Join([]string{string([]rune{'\'', r, '\''}), does}, " ")
}

// pose takes the state from the letter.
func (t *Tile) pose(capital bool, at Place) error {
	switch t.Kind {
	case engine.Battery:
	case engine.Link, engine.Shuttle:
		t.Out = capital
	case engine.Bucket, engine.Tray:
		t.Tokens = map[bool]int{true: 1}[capital]
	case engine.Meter:
		t.Level = map[bool]int{true: 1}[capital]
	case engine.Chute:
		if capital {
			return wrong(at, "a busy chute; a sketch places a bench at rest, so want c")
		}
	default:
		t.On = capital
	}
	return nil
}

// count reads how many tokens a tray holds.
func (t *Tile) count(m rune, capital bool, at Place) error {
	switch {
	case m == ' ':
		return nil
	case is(m, say.GMany) && capital:
		t.many = true
	case '0' <= m && m <= '9' && capital == (m != '0'):
		t.Tokens = int(m - '0')
	case '0' <= m && m <= '9':
		return wrong(at, "%q tokens, want t for a tray with none and T for one with any", m)
	default:
		return wrong(at, "%q in a tray, want the number of its tokens", m)
	}
	return nil
}

// mark reads the sign at the right of a cell.
func (r *reader) mark(t *Tile, c rune, capital bool, at Place) error {
	switch {
	case c == ' ' || c == Armed:
		return nil
	case c == Timer && capital && (t.Kind == engine.Oneshot || t.Kind == engine.Echo || t.Kind == engine.Key):
		return nil // it is set anew when the part is posed
	case marksWay[c] != "":
		return underWay(c, at)
	case !r.isOwn(c):
		return wrong(at, "%q behind a %s, want a blank, or a mark that the legend explains: a digit, or a letter that means nothing else", c, t.called())
	}
	t.Mark = c
	if r.own == nil {
		r.own = map[rune]Place{}
	}
	if _, known := r.own[c]; !known {
		r.own[c] = at
	}
	return nil
}

func underWay(mark rune, at Place) error {
	return wrong(at, "%q: %s; a sketch places a bench at rest, and cannot place this", mark, marksWay[mark])
}

// unknown says how a letter that no kind here has may get one.
func (r *reader) unknown(a rune) string {
	if strings.ContainsRune(say.OwnLetters+"q", unicode.ToLower(a)) {
		return "; the kind of one's own that has this letter is named by kinds=[...]"
	}
	return ""
}

// called is what a part is called in a sentence.
func (t *Tile) called() string {
	if t.own != nil {
		return t.own.among[0].Name
	}
	return t.Kind.String()
}

// signsAllowed lists what may stand at the left of a cell.
func (r *reader) signsAllowed() string {
	var s []string
	for _, k := range engine.Kinds() {
		if k != engine.Wire && k != engine.Jack {
			s = append(s, string(letter(k)))
		}
	}
	for _, k := range r.kinds {
		s = append(s, string(k.Letter))
	}
	return "one of " + strings.Join(s, " ") + ", as map draws them"
}

func (p Place) before(o Place) bool {
	return p.Line < o.Line || p.Line == o.Line && p.Column < o.Column
}
