package differ

import (
	"context"
	"errors"
	"fmt"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// span are the ticks of a side that are compared; its time counts from the first of them.
type span struct{ first, last int64 }

// has reports whether a tick is one of them; without a span all are.
func (s *span) has(tick int64) bool { return s == nil || s.first <= tick && tick <= s.last }

func (s *span) String() string {
	if s.first == s.last {
		return fmt.Sprintf("tick %d", s.first)
	}
	return fmt.Sprintf("ticks %d to %d", s.first, s.last)
}

// start is the tick from which a side's time counts.
func (s *side) start() int64 {
	if s.span == nil {
		return 0
	}
	return s.span.first
}

// end gives the bench of a side as it stands after its last tick; nil: a log, or the history does not reach there.
func (s *side) end(ctx context.Context) (*engine.Bench, error) {
	after := engine.Instant{}
	if s.span != nil {
		after.Tick = s.span.last + 1
	}
	if s.bench == nil || s.span == nil || s.bench.Now().Before(after) {
		return s.bench, nil
	}
	return s.bench.BeforeTurn(ctx, after)
}

// spans are the ticks of each side that are compared.
func (c *reader) spans() (both [2]*span) {
	if c.Err != nil || !c.Has("ticks") {
		return both
	}
	v := c.Value("ticks")
	pair, ok := v.(starlark.Indexable)
	if !ok || pair.Len() != 2 {
		c.Bad("ticks", builtins.Show(v), wantSpan)
		return both
	}
	if _, ok := pair.Index(0).(starlark.Int); ok {
		s := c.span(pair)
		return [2]*span{s, s}
	}
	for k := range both {
		if pair.Index(k) != starlark.None {
			both[k] = c.span(pair.Index(k))
		}
	}
	return both
}

const wantSpan = "a pair of ticks (first, last), such as (1, 20), or a pair of such pairs, one for a and one for b"

// span reads one pair of ticks.
func (c *reader) span(v starlark.Value) *span {
	pair, ok := v.(starlark.Indexable)
	if ok = ok && pair.Len() == 2; ok {
		var first, last int64
		err := errors.Join(starlark.AsInt(pair.Index(0), &first), starlark.AsInt(pair.Index(1), &last))
		if err == nil && 0 <= first && first <= last {
			return &span{first, last}
		}
	}
	if c.Err == nil {
		c.Bad("ticks", builtins.Show(c.Value("ticks")), wantSpan+", the first not after the last")
	}
	return nil
}
