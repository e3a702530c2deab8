package sketch

import (
	"strconv"
	"strings"

	"pulsewright/engine"
)

// scanner reads a line of a legend.
type scanner struct {
	text string
	line int
	pos  int
}

func (s *scanner) place() Place {
	return Place{Line: s.line, Column: 1 + len([]rune(s.text[:s.pos]))}
}

func (s *scanner) wrong(want string) error {
	if s.end() {
		return wrong(s.place(), "the end of the line, want %s", want)
	}
	return wrong(s.place(), "%q, want %s", first(s.text[s.pos:]), want)
}

// blank passes blanks and commas between things.
func (s *scanner) blank() {
	for s.pos < len(s.text) && (s.text[s.pos] == ' ' || s.text[s.pos] == ',') {
		s.pos++
	}
}

func (s *scanner) end() bool { return s.pos >= len(s.text) }

// take passes a text if it stands here.
func (s *scanner) take(text string) bool {
	s.blank()
	if strings.HasPrefix(s.text[s.pos:], text) {
		s.pos += len(text)
		return true
	}
	return false
}

// word passes letters.
func (s *scanner) word() string {
	s.blank()
	from := s.pos
	for s.pos < len(s.text) && (s.text[s.pos] >= 'a' && s.text[s.pos] <= 'z' || s.text[s.pos] >= 'A' && s.text[s.pos] <= 'Z') {
		s.pos++
	}
	return s.text[from:s.pos]
}

// integer passes a whole number.
func (s *scanner) integer() (int64, bool) {
	s.blank()
	from := s.pos
	if !s.end() && s.text[s.pos] == '-' {
		s.pos++
	}
	for s.pos < len(s.text) && '0' <= s.text[s.pos] && s.text[s.pos] <= '9' {
		s.pos++
	}
	n, err := strconv.ParseInt(s.text[from:s.pos], 10, 64)
	if err != nil {
		s.pos = from
	}
	return n, err == nil
}

const wantCell = "a cell (x, y) or (x, y, z)"

func (s *scanner) cell() (c engine.Cell, err error) {
	s.blank()
	from := s.pos
	bad := func() (engine.Cell, error) {
		s.pos = from
		return c, s.wrong(wantCell)
	}
	if !s.take("(") {
		return bad()
	}
	for i, to := range []*int32{&c.X, &c.Y, &c.Z} {
		n, ok := s.integer()
		switch {
		case !ok && i == 2 && s.take(")"):
			return c, nil
		case !ok || n < -engine.Limit || n > engine.Limit:
			return bad()
		}
		*to = int32(n)
		if i == 1 && s.take(")") {
			return c, nil
		}
	}
	if !s.take(")") {
		return bad()
	}
	return c, nil
}

// quoted passes a string.
func (s *scanner) quoted() (string, error) {
	s.blank()
	q, err := strconv.QuotedPrefix(s.text[s.pos:])
	if err == nil && q[0] == '"' {
		if text, err := strconv.Unquote(q); err == nil {
			s.pos += len(q)
			return text, nil
		}
	}
	return "", s.wrong(`a string such as "quay"`)
}

// mostCells is the longest row of cells in one entry.
const mostCells = 1 << 20

// cells passes cells, and straight rows of them: (0, 0) (2, 0) to (5, 0).
func (s *scanner) cells() (cells []engine.Cell, err error) {
	for {
		if s.blank(); s.end() || s.text[s.pos] != '(' {
			return cells, nil
		}
		c, err := s.cell()
		if err != nil {
			return nil, err
		}
		cells = append(cells, c)
		if !s.take("to ") {
			continue
		}
		at := s.pos
		to, err := s.cell()
		if err != nil {
			return nil, err
		}
		row, ok := straight(c, to)
		if !ok || len(cells)+len(row) > mostCells {
			s.pos = at
			return nil, s.wrong("a cell in a straight line with " + c.String())
		}
		cells = append(cells, row...)
	}
}

// straight lists the cells behind a up to b, if they lie in a straight line.
func straight(a, b engine.Cell) (cells []engine.Cell, ok bool) {
	d := b.Sub(a)
	n := max(d.X, -d.X) + max(d.Y, -d.Y) + max(d.Z, -d.Z)
	if n == 0 || n >= mostCells {
		return nil, n == 0
	}
	step, ok := engine.DirOf(engine.Cell{X: d.X / n, Y: d.Y / n, Z: d.Z / n})
	for i := int32(0); ok && i < n; i++ {
		a = a.Add(step.Cell())
		cells = append(cells, a)
	}
	return cells, ok
}

// value passes a value as scripts write it.
func (s *scanner) value() (any, error) {
	if s.blank(); s.end() {
		return nil, s.wrong("a value")
	}
	switch c := s.text[s.pos]; {
	case c == '"':
		return s.quoted()
	case c == '[':
		s.pos++
		pads := []engine.Cell{}
		for !s.take("]") {
			p, err := s.cell()
			if err != nil {
				return nil, err
			}
			pads = append(pads, p)
		}
		return pads, nil
	case c == '-' || '0' <= c && c <= '9':
		if n, ok := s.integer(); ok {
			return n, nil
		}
	default:
		from := s.pos
		switch s.word() {
		case "True":
			return true, nil
		case "False":
			return false, nil
		case "None":
			return nil, nil
		}
		s.pos = from
	}
	return nil, s.wrong("a number, a string, True, False, None or a list of offsets")
}

// settings passes settings such as ticks=3, op="xor", up to the end of the line or a semicolon.
func (s *scanner) settings() (all []Setting, err error) {
	for s.blank(); !s.end() && s.text[s.pos] != ';'; s.blank() {
		set := Setting{At: s.place()}
		if set.Key = s.word(); set.Key == "" || !s.take("=") {
			s.pos -= len(set.Key)
			return nil, s.wrong("settings such as ticks=3")
		}
		if set.Val, err = s.value(); err != nil {
			return nil, err
		}
		all = append(all, set)
	}
	return all, nil
}
