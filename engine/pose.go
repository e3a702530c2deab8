package engine

import (
	"fmt"
	"slices"
)

// pose gives a new part its state and what its kind needs.
func (b *Bench) pose(s int32, p *Part) {
	st, t := &b.st[s], &traits[p.Kind]
	on := p.On && t.Shows == ShowsState && !t.Conducts
	if t.Timed {
		st.n = int32(p.Ticks)
	}
	var x extra
	needs := false
	switch p.Kind {
	case Key:
		st.n = int32(p.Hold)
		needs = p.Hold > 0
	case Link:
		on = p.Out
	case Shuttle:
		on = p.Out
		st.op = uint8(p.Slug)
		st.n = int32(p.Travel)
		st.nin = uint16(p.Grip)
		if needs = p.LetGo; needs {
			st.nin |= letsGo
		}
	case Delay:
		st.op = uint8(p.Mode)
		x.reject = int32(p.Reject)
		needs = p.Mode == Inertial
	case Oneshot:
		st.flags |= fReady
	case Gate:
		st.op = uint8(p.Op)
	case Bucket:
		st.n = int32(p.Drop)
		on = p.Tokens > 0
	case Tray:
		x.room, x.keep = int32(p.Room), int32(p.Keep)
		needs = true
	case Meter:
		st.n = int32(min(p.Level, b.rules.Reach))
	case Told:
		needs = slices.Max(p.Spec.Then) > 0
	}
	st.tabulate()
	if on {
		st.flags |= fOn
	}
	if needs {
		b.extOf[s] = int32(len(b.ext))
		b.ext = append(b.ext, x)
	}
	if p.Kind == Tray {
		for range p.Tokens {
			st.n++
			b.keepToken(s, 0)
		}
	}
	if on {
		b.posed(s)
	}
	if p.Kind == Told {
		b.toldPosed(s, p)
	}
}

// Fill poses exactly so many tokens in a bucket or tray, silently.
func (b *Bench) Fill(id ID, tokens int) error {
	s, err := b.partSite(id)
	if err != nil {
		return err
	}
	back := b.keepForUndo()
	st := &b.st[s]
	switch st.kind {
	case Bucket:
		if err := inRange("tokens", tokens, 0, 1); err != nil {
			return err
		}
		b.edited()
		st.flags &^= fOn
		if tokens == 1 {
			st.flags |= fOn
		}
	case Tray:
		x := &b.ext[b.extOf[s]]
		if err := inRange("tokens", tokens, 0, int(x.room)); err != nil {
			return err
		}
		b.edited()
		x.gone = x.arrived
		st.n = 0
		for range tokens {
			st.n++
			b.keepToken(s, 0)
		}
		b.refresh(s)
	default:
		return fmt.Errorf("a %v holds no tokens; want a bucket or a tray", st.kind)
	}
	b.refreshCords(s)
	return b.settleEdit(back)
}
