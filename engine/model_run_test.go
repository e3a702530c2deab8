package engine_test

import (
	"context"
	"fmt"

	"pulsewright/engine"
)

// turn runs one turn of both.
func (p *pair) turn() error {
	if p.turns--; p.turns < 0 {
		return errOver
	}
	m := p.m.Turn()
	if p.m.endless {
		return errOver
	}
	b, err := p.b.Turn()
	if p.m.unsettled && err != nil {
		return errOver
	}
	if err != nil {
		return fmt.Errorf("turn: %w", err)
	}
	if m != b || p.m.unsettled {
		return fmt.Errorf("turn: model says %t, engine says %t", m, b)
	}
	return p.compare()
}

type until int

const (
	afterStep until = iota
	afterTicks
	whenQuiet
)

// runUntil runs the model on its own for a while. If it came to an end within the turns that are left, the
// engine does the same at one go; else both go on turn by turn.
func (p *pair) runUntil(u until, ticks int64) error {
	m, left := p.m.clone(), p.turns
	ended := false
	switch target := m.tick + ticks; {
	case u == afterStep:
		ended = m.runStep(&left)
	case u == afterTicks:
		ended = m.runTo(target, &left)
		m.tick, m.step = target, 0
	default:
		ended = m.runTo(1<<40, &left)
	}
	if !ended || m.endless || m.unsettled {
		for {
			if err := p.turn(); err != nil {
				return err
			}
		}
	}
	p.m, p.turns = m, left
	var err error
	switch ctx := context.Background(); u {
	case afterStep:
		_, err = p.b.Step(ctx, engine.Budget{})
	case afterTicks:
		err = p.b.RunTicks(ctx, ticks, engine.Budget{})
	default:
		err = p.b.Run(ctx, engine.Budget{})
	}
	return err
}

// runStep runs what is left of the present step, or the next.
func (m *model) runStep(left *int) bool {
	if !m.next() {
		return true
	}
	tick, step := m.tick, m.step
	for {
		if c := m.clone(); !c.next() || c.tick > tick {
			m.deliver()
			return true // the next tick has not begun
		}
		if m.next(); m.step != step {
			return true
		}
		if *left--; *left < 0 {
			return false
		}
		m.Turn()
	}
}

// runTo runs to the end of a tick.
func (m *model) runTo(tick int64, left *int) bool {
	for {
		if c := m.clone(); !c.next() || c.tick > tick {
			m.deliver()
			return true
		}
		if *left--; *left < 0 || m.endless || m.unsettled {
			return false
		}
		m.Turn()
	}
}
