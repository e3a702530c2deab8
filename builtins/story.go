package builtins

import (
	"fmt"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Shown is a value whose word has already printed what there is to see: a shell need not show it again.
type Shown interface{ Shown() bool }

// Changing is a value that changes as it is used. Where it stands can be compared with ==, and it can go back there: for undo.
type Changing interface {
	starlark.Value
	Stand() any
	Return(stand any)
}

// Painted is a value that a shell shows in colours.
type Painted interface{ Painted() string }

// Who names a part in a story: its kind and its name, or its kind and cell.
func Who(b *engine.Bench, id engine.ID) string {
	name := b.Name(id)
	if name == "" {
		return say.Clean(b.Label(id))
	}
	return b.KindName(id) + " " + say.Clean(name)
}

// Told says who did what and when: wire (3, 0) went live at 1.2.0.
func Told(b *engine.Bench, e engine.Event) string {
	return fmt.Sprintf("%s %s at %v", Who(b, e.ID), Past(b, e), e.At())
}

// Those names a row of parts of one kind: links E9 ... E34.
func (e *Env) Those(b *engine.Bench, first, last engine.ID) string {
	kind := b.KindName(first)
	a, z := say.Clean(b.Label(first)), say.Clean(b.Label(last))
	a, z = strings.TrimPrefix(a, kind+" "), strings.TrimPrefix(z, kind+" ")
	if a == z {
		return say.Plural(kind) + " " + a
	}
	dots := " \u22ef "
	if e.ASCII {
		dots = " ... "
	}
	return say.Plural(kind) + " " + a + dots + z
}

// List joins words: a, b and c; of many, the first and how many more.
func List(words []string, most int, joint string) string {
	more := 0
	if len(words) > most {
		more = len(words) - most
		words = words[:most]
	}
	s := strings.Join(words, ", ")
	if n := len(words); more == 0 && n > 1 {
		s = strings.Join(words[:n-1], ", ") + joint + words[n-1]
	}
	if more > 0 {
		s += fmt.Sprintf(" and %d more", more)
	}
	return s
}

// Paragraph breaks a sentence of a story to the width of the screen; what follows the first line is set in.
func (e *Env) Paragraph(text, indent string) string {
	return indent + strings.TrimPrefix(e.Wrap(text, indent+"  "), indent+"  ")
}
