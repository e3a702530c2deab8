package invent

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// planKind is a kind of one's own as a file holds it: what it was told to be, and a digit for each entry of its table.
type planKind struct {
	engine.SpecDef
	Table string `json:"table"`
}

// planPart is a part as a file holds it. Own is which of the plan's own kinds it is of, counted from 1; 0: of none.
type planPart struct {
	engine.Part
	Own int `json:"own"`
}

// take is how a part is held, and takes down its kind if that is one's own.
func (p *searchPlan) take(q engine.Part) (planPart, error) {
	s := q.Spec
	if s == nil {
		return planPart{Part: q}, nil
	}
	q.Spec = nil
	i := slices.IndexFunc(p.specs, func(o *engine.Spec) bool { return o.Name == s.Name })
	switch {
	case i < 0:
		i = len(p.specs)
		p.specs = append(p.specs, s)
		k := planKind{SpecDef: s.SpecDef}
		var table strings.Builder
		for e := range s.Combinations() {
			table.WriteByte('0' + s.Entry(e))
		}
		k.Table = table.String()
		p.Own = append(p.Own, k)
	case !p.specs[i].Same(s):
		return planPart{}, fmt.Errorf("two kinds are called %s, want each under its own name", s.Name)
	}
	return planPart{q, i + 1}, nil
}

// give is a part with its kind.
func (p *searchPlan) give(q planPart) engine.Part {
	if q.Own > 0 {
		q.Spec = p.specs[q.Own-1]
	}
	return q.Part
}

// tell makes the kinds of a plan that was read, and reports whether there are such kinds.
func (p *searchPlan) tell() bool {
	for _, k := range p.Own {
		s, err := k.spec()
		if err != nil {
			return false
		}
		p.specs = append(p.specs, s)
	}
	fits := func(q planPart) bool {
		own := q.Own > 0 && q.Own <= len(p.specs)
		return (q.Kind == engine.Told) == own && (own || q.Own == 0) && q.Spec == nil && (!own || q.State >= 0 && q.State < len(p.specs[q.Own-1].States))
	}
	return !slices.ContainsFunc(p.Options, func(q planPart) bool { return !fits(q) }) && !slices.ContainsFunc(p.Fixed, func(f planPiece) bool { return !fits(f.Part) })
}

var errTable = errors.New("its table is none of such a kind")

// spec is the kind.
func (k *planKind) spec() (*engine.Spec, error) {
	for _, word := range slices.Concat([]string{k.Name}, k.States, k.Says) {
		if strings.ContainsFunc(word, func(r rune) bool { return !strings.ContainsRune("_ ", r) && !(r < 0x80 && isLetterOrDigit(byte(r))) }) {
			return nil, fmt.Errorf("no kind has the word %q", word)
		}
	}
	at := 0
	s, err := engine.NewSpec(k.SpecDef, func(engine.Look) (int, error) {
		if at == len(k.Table) || k.Table[at] < '0' || int(k.Table[at]-'0') >= len(k.States) {
			return 0, errTable
		}
		at++
		return int(k.Table[at-1] - '0'), nil
	})
	if err == nil && at < len(k.Table) {
		err = errTable
	}
	if err != nil {
		return nil, err
	}
	builtins.NewOwnKind(s, nil, nil, "") // so that maps can show it
	return s, nil
}

func isLetterOrDigit(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}
