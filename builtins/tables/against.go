package tables

import (
	"fmt"
	"strconv"
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
)

// Rows of the answer that are about a row or a column as a whole say so where the column's head stands.
const (
	rowNew, rowGone = "(row) only now", "(row) only then"
	colNew, colGone = " only now", " only then"
)

func against(c *builtins.Call) (starlark.Value, error) {
	now, ok := c.Value("new").(*builtins.Table)
	if !ok {
		return nil, c.Bad("new", builtins.Show(c.Value("new")), "")
	}
	old, ok := c.Value("old").(*builtins.Table)
	if !ok {
		return nil, c.Bad("old", builtins.Show(c.Value("old")), "")
	}
	var on []string
	for _, v := range c.List("on") {
		on = append(on, builtins.Text(v))
	}
	switch {
	case c.Err != nil:
		return nil, c.Err
	case len(now.Head) == 0 || len(old.Head) == 0:
		return nil, c.Fail("a table without heads, want tables with heads")
	case len(on) == 0:
		on = now.Head[:1]
	}
	a, err := keyed(c.Env, "the new table", now, on)
	if err != nil {
		return nil, c.Wrap(err)
	}
	b, err := keyed(c.Env, "the old table", old, on)
	if err != nil {
		return nil, c.Wrap(err)
	}
	t, err := parted(c.Env, a, b, on)
	return t, c.Wrap(err)
}

// sheet is a table whose rows are found by what stands in the columns of on.
type sheet struct {
	*builtins.Table
	key    []int // the columns of on
	keys   []string
	number map[string]int // of the row, by its key
}

func keyed(e *builtins.Env, what string, t *builtins.Table, on []string) (*sheet, error) {
	s := &sheet{Table: t, number: map[string]int{}}
	for _, head := range on {
		i, err := t.Index(head)
		if err != nil {
			return nil, fmt.Errorf("on, of %s: %w", what, err)
		}
		s.key = append(s.key, i)
	}
	for n := range t.Rows {
		if err := e.StoppedAt(n); err != nil {
			return nil, err
		}
		var key, shown []string
		for _, i := range s.key {
			key = append(key, strconv.Quote(plain(s.cell(n, i))))
			shown = append(shown, builtins.Show(s.cell(n, i)))
		}
		k := strings.Join(key, " ")
		if _, twice := s.number[k]; twice {
			return nil, &ambiguous{what, strings.Join(on, " "), strings.Join(shown, ", ")}
		}
		s.number[k] = n
		s.keys = append(s.keys, k)
	}
	return s, nil
}

// ambiguous is that rows cannot be told apart.
type ambiguous struct{ what, on, key string }

func (e *ambiguous) Error() string {
	return e.what + " has two rows with " + e.on + " " + e.key + ", want columns in on that tell the rows apart"
}

// cell is a field; short rows end in None.
func (s *sheet) cell(row, column int) starlark.Value {
	if r := s.Rows[row]; column < len(r) {
		return r[column]
	}
	return starlark.None
}

// column finds a head; -1 if there is none.
func (s *sheet) column(head string) int {
	for i, h := range s.Head {
		if h == head {
			return i
		}
	}
	return -1
}

// parted lists what differs: in the order of the new table, then what only the old one has.
func parted(e *builtins.Env, now, old *sheet, on []string) (*builtins.Table, error) {
	t := &builtins.Table{Head: append(append([]string{}, on...), "column", "was", "is")}
	add := func(s *sheet, row int, column string, was, is starlark.Value) {
		var r []starlark.Value
		for k := range on {
			if s == nil {
				r = append(r, starlark.None)
			} else {
				r = append(r, s.cell(row, s.key[k]))
			}
		}
		t.Rows = append(t.Rows, append(r, starlark.String(column), was, is))
	}
	for _, h := range now.Head {
		if old.column(h) < 0 {
			add(nil, 0, h+colNew, starlark.None, starlark.None)
		}
	}
	for _, h := range old.Head {
		if now.column(h) < 0 {
			add(nil, 0, h+colGone, starlark.None, starlark.None)
		}
	}
	for n, key := range now.keys {
		if err := e.StoppedAt(n); err != nil {
			return nil, err
		}
		o, there := old.number[key]
		if !there {
			add(now, n, rowNew, starlark.None, starlark.None)
			continue
		}
		for i, h := range now.Head {
			if j := old.column(h); j >= 0 && !same(now.cell(n, i), old.cell(o, j)) {
				add(now, n, h, old.cell(o, j), now.cell(n, i))
			}
		}
	}
	for o, key := range old.keys {
		if _, there := now.number[key]; !there {
			add(old, o, rowGone, starlark.None, starlark.None)
		}
	}
	return t, nil
}

// same reports whether two values are the same, as far as a file can tell: what is no number, truth value, None or list is its text, and
// so is a list, where the other is text.
func same(a, b starlark.Value) bool {
	if plain(a) == plain(b) {
		return true
	}
	_, text := a.(starlark.String)
	_, other := b.(starlark.String)
	return text != other && listed(a) != listed(b) && builtins.Text(a) == builtins.Text(b)
}

func listed(v starlark.Value) bool {
	switch v.(type) {
	case *starlark.List, starlark.Tuple:
		return true
	}
	return false
}

// plain is a value as text that tells its sort; equal numbers are the same text.
func plain(v starlark.Value) string {
	switch v := v.(type) {
	case starlark.NoneType, starlark.Bool, starlark.Int:
		return v.String()
	case starlark.Float:
		if n, err := starlark.NumberToInt(v); err == nil && n.Float() == v {
			return n.String()
		}
		return v.String()
	case starlark.Tuple, *starlark.List:
		var s []string
		for x := range starlark.Elements(v.(starlark.Iterable)) {
			s = append(s, strconv.Quote(plain(x)))
		}
		return "[" + strings.Join(s, ",") + "]"
	}
	return "text " + builtins.Text(v)
}
