package builtins

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Part reads a part, its name or its cell. 0 if that fails.
func (c *Call) Part(param string) engine.ID {
	if c.Err != nil {
		return 0
	}
	return c.partOf(param, c.Value(param))
}

func (c *Call) partOf(param string, v starlark.Value) engine.ID {
	t := c.TargetOf(param, v)
	if c.Err != nil {
		return 0
	}
	if t.ID == 0 {
		cell := t.Cell
		c.Fail("for parameter %s: no part at %v%s", c.Spec(param).Name, cell, nearby(c.Env.Bench, cell))
		return 0
	}
	return t.ID
}

// Aimed is a value that stands for the place it looks at, such as a probe.
type Aimed interface {
	starlark.Value
	Aim() (*engine.Bench, engine.Target)
	Name() string
}

// Target reads a part, its name or any cell.
func (c *Call) Target(param string) engine.Target {
	if c.Err != nil {
		return engine.Target{}
	}
	return c.TargetOf(param, c.Value(param))
}

func (c *Call) TargetOf(param string, v starlark.Value) engine.Target {
	b := c.Env.Bench
	switch v := v.(type) {
	case Part:
		if v.Bench != b {
			c.Fail("for parameter %s: that part lies on another bench than this one: fresh() came between, or another trial made it", c.Spec(param).Name)
			return engine.Target{}
		}
		if !v.Valid() {
			c.Fail("for parameter %s: that part is no longer there; it was removed or undone", c.Spec(param).Name)
			return engine.Target{}
		}
		return engine.Target{ID: v.ID}
	case Aimed:
		on, t := v.Aim()
		if on != b {
			c.Fail("for parameter %s: the %s looks at another bench than this one", c.Spec(param).Name, v.Type())
			return engine.Target{}
		}
		if t.ID != 0 && !(Part{b, t.ID}).Valid() {
			c.Fail("for parameter %s: the part that the %s %s watches is no longer there; it was removed or undone", c.Spec(param).Name, v.Type(), v.Name())
			return engine.Target{}
		}
		return t
	case *Row:
		c.Bad(param, "a row of "+say.Count(len(v.ids), "part"), "one of them, such as row[0], row.first or row.last")
		return engine.Target{}
	case starlark.String:
		return engine.Target{ID: c.named(param, string(v))}
	case starlark.Tuple, *starlark.List:
		cell := c.CellIn(param, v)
		if c.Err != nil {
			return engine.Target{}
		}
		if c.Frame == nil || c.Frame.By == nil {
			c.Env.Inquiry.cell()
		}
		if id, ok := b.PartAt(cell); ok {
			return engine.Target{ID: id}
		}
		return engine.Target{Cell: cell}
	}
	c.Bad(param, Show(v), "")
	return engine.Target{}
}

// named finds a part by name: first among those of the frame, then among all.
func (c *Call) named(param string, name string) engine.ID {
	b := c.Env.Bench
	if c.Frame != nil && c.Frame.Name != "" {
		if id, ok := b.Lookup(c.Frame.Prefix(name)); ok {
			return id
		}
	}
	if id, ok := b.Lookup(name); ok {
		return id
	}
	first, last := RowNamed(b, name)
	if c.Frame != nil && first == "" {
		first, last = RowNamed(b, c.Frame.Prefix(name))
	}
	if first != "" {
		c.Fail("for parameter %s: %q is a row of parts, want one of them: %q to %q", c.Spec(param).Name, name, first, last)
		return 0
	}
	var names []string
	for n := range b.Names() {
		names = append(names, n)
	}
	const few = 6
	hint := say.DidYouMean(name, names)
	switch n := len(names); {
	case hint != "":
	case n == 0:
		hint = "; no part has a name"
	case n <= few:
		hint = "; parts with names: " + strings.Join(names, ", ")
	default:
		hint = fmt.Sprintf("; %d parts have other names, map() shows them", n)
	}
	c.Fail("for parameter %s: no part named %q%s", c.Spec(param).Name, name, hint)
	return 0
}

// RowNamed is the first and the last name of the parts of a row of that name; "" if there is none.
func RowNamed(b *engine.Bench, row string) (first, last string) {
	for i := 0; ; i++ {
		name := fmt.Sprintf("%s.%d", row, i)
		if _, ok := b.Lookup(name); !ok {
			return first, last
		}
		if last = name; i == 0 {
			first = name
		}
	}
}

// nearby is a hint for a cell that should have held a part.
func nearby(b *engine.Bench, cell engine.Cell) string {
	best, who := int64(-1), engine.ID(0)
	for id := range b.Parts() {
		at, onLattice := b.CellOf(id)
		if !onLattice {
			continue
		}
		d := at.Sub(cell)
		if far := abs(d.X) + abs(d.Y) + abs(d.Z); best < 0 || far < best {
			best, who = far, id
		}
	}
	if best < 0 || best > 3 {
		return ""
	}
	return "; the nearest is " + Describe(b, who)
}

func abs(x int32) int64 {
	if x < 0 {
		return -int64(x)
	}
	return int64(x)
}

// CheckName refuses names that cannot be shown: what is printed must not be able to command a terminal.
func (c *Call) CheckName(param string, name string) {
	if got, want := NameFault(name); want != "" {
		c.Bad(param, got, want)
	}
}

// NameFault says what a name is that cannot be, and what is wanted; want is "" of one that can.
func NameFault(name string) (got, want string) {
	if name == "" {
		return `""`, "a name, or None"
	}
	if len(name) > 200 {
		return "a long name", "at most 200 bytes"
	}
	if !utf8.ValidString(name) {
		return fmt.Sprintf("%+q", name), "a text in UTF-8"
	}
	for _, r := range name {
		if r < ' ' || r == 0x7f || r > 0x7f && !unicode.IsPrint(r) {
			return fmt.Sprintf("%+q", name), "printable characters"
		}
	}
	if strings.TrimSpace(name) != name {
		return fmt.Sprintf("%q", name), "a name without blanks around it"
	}
	return "", ""
}
