package engine_test

import "pulsewright/engine"

// holderAt returns the token holder in a place, or nil.
func (m *model) holderAt(at place, ok bool) *modelPart {
	if p := m.partAt(at); ok && p != nil && (p.Kind == engine.Bucket || p.Kind == engine.Tray) {
		return p
	}
	return nil
}

func (m *model) inFront(p *modelPart) *modelPart { return m.holderAt(p.at.to(p.Facing, 1)) }
func (m *model) behind(p *modelPart) *modelPart  { return m.holderAt(p.at.to(p.Facing.Opposite(), 1)) }
func (m *model) under(p *modelPart) *modelPart   { return m.holderAt(p.at.to(engine.NegZ, 1)) }

// hasRoom reports whether a holder can take one token more.
func hasRoom(p *modelPart) bool {
	return p != nil && len(p.tokens) < p.Room
}

// ---- Bucket ----

func (m *model) hearBucket(p *modelPart, cause int) {
	if !m.live(p) {
		if !m.hasTimer(p) {
			m.setTimer(p, p.Drop, false, cause)
		}
	} else if to := m.inFront(p); len(p.tokens) > 0 && hasRoom(to) {
		m.move(p, to, m.event(p.at, engine.Passes, 0, cause))
	}
}

func (m *model) dropBucket(p *modelPart, cause int) {
	if to := m.under(p); !m.live(p) && len(p.tokens) > 0 && hasRoom(to) {
		m.move(p, to, m.event(p.at, engine.Drops, 0, cause))
	}
}

// ---- Tokens on the move ----

func (m *model) move(from, to *modelPart, event int) {
	m.leave(from, event)
	m.arrive(to, event)
}

// leave takes the oldest token, and its timer with it.
func (m *model) leave(p *modelPart, event int) {
	m.cancelTimer(p.tokens[0])
	p.tokens = p.tokens[1:]
	m.tokensChanged(p, len(p.tokens) == 0, event)
}

func (m *model) arrive(p *modelPart, event int) {
	p.tokens = append(p.tokens, m.keepTimer(p, event))
	m.tokensChanged(p, len(p.tokens) == 1, event)
}

// keepTimer sets the timer of a token that arrives at p, if it is not kept for good.
func (m *model) keepTimer(p *modelPart, cause int) int {
	if p.Kind == engine.Tray && p.Keep > 0 {
		return m.setTimer(p, p.Keep, false, cause)
	}
	return 0
}

// tokensChanged is one side of a move: first the change at a tray, then the meters and chutes beside look.
func (m *model) tokensChanged(p *modelPart, edge bool, event int) {
	switch {
	case p.Kind == engine.Tray && edge:
		m.change(p.at, event)
	case p.Kind == engine.Bucket:
		m.changeOfCords(p, event)
	}
	for _, at := range m.around(p.at) {
		switch q := m.partAt(at); m.kindAt(at) {
		case engine.Meter:
			if q.back(p.at) {
				m.lookMeter(q, event)
			}
		case engine.Chute:
			if q.back(p.at) || q.front(p.at) {
				m.lookChute(q, event)
			}
		}
	}
}

// ---- Chute ----

// canMove reports whether all that a chute needs holds: unfed, a token behind, room in front.
func (m *model) canMove(p *modelPart) bool {
	from, to := m.behind(p), m.inFront(p)
	return !m.live(p) && from != nil && len(from.tokens) > 0 && hasRoom(to)
}

func (m *model) lookChute(p *modelPart, cause int) {
	if m.canMove(p) && !m.hasTimer(p) {
		m.setTimer(p, p.Ticks, false, cause)
	}
}

func (m *model) moveChute(p *modelPart, cause int) {
	if m.canMove(p) {
		event := m.event(p.at, engine.Moves, 0, cause)
		m.move(m.behind(p), m.inFront(p), event)
		m.lookChute(p, event)
	}
}

// ---- Meter ----

// reading is the level a meter would show.
func (m *model) reading(p *modelPart) int {
	if from := m.behind(p); from != nil {
		return min(len(from.tokens), m.rules.Reach)
	}
	return 0
}

func (m *model) lookMeter(p *modelPart, cause int) {
	if n := m.reading(p); n != p.shows {
		p.shows = n
		m.change(p.at, m.event(p.at, engine.Level, n, cause))
	}
}
