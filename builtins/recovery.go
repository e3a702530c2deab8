package builtins

import (
	"fmt"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func recoveryWords() []Entry {
	return []Entry{{Name: "recovery", Topic: "experiments", Sentence: "Finds the smallest gap, in ticks from the start of one transmission to the start of the next, from which on every pair of numbers reads right; and what each transmission leaves changed.",
		Params: []Param{
			{Name: "design", Type: "a design", Doc: "what to try"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers to pair; None: those of the design"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: sizeDoc}},
		Returns: "a report with .ticks (None: no gap is long enough), .pairs, .gaps, .trials, .first .second .got (a pair that fails one tick earlier), .left (what a transmission leaves changed), .latency and .back (ticks after its start, by number: until it reads right, and until all is quiet)",
		Example: plainFunctions + "line = struct(name=\"plain line\", build=build, send=send, read=read, over=[1, 2, 9])\nr = recovery(line)\nexpect_equal(r.ticks, 1)\nexpect_equal(r.left, [])\nprint(r)",
		See:     []string{"compare", "datasheet"}, call: recover_}}
}

func recover_(c *Call) (starlark.Value, error) {
	m := c.machine(0)
	if c.Err != nil {
		return nil, c.Err
	}
	defer c.Env.fence(m.functions()...)()
	l := c.bay(m)
	defer l.close()
	size := c.sizeOf(m, 2, 0)
	numbers := l.values(1, size)
	if c.Err != nil {
		return nil, c.Err
	}
	r, err := l.recovery(numbers, size)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return r.report(), nil
}

// alone is what one number does on a machine at rest.
type alone struct {
	n       starlark.Value
	latency int64    // ticks after which, and from then on, it reads n
	back    int64    // ticks after which all is quiet
	left    []string // what is changed then
	trials  int64
}

// recovered is what recovery found.
type recovered struct {
	l     *bay
	ticks int64 // 0: no gap is long enough
	alone []alone
	gaps  int64 // the longest gap after which anything is still under way

	first, second starlark.Value // a pair that fails at ticks-1, or at rest if ticks is 0
	got           string
}

// recovery tries pairs at every gap. A gap g is long enough for (n, m) if, n being sent at one tick and m sent g ticks
// later, each reads right at the tick at which it does when sent alone to a machine at rest, counted from its own start,
// and m still does when all is quiet. A gap that ends after n has come to rest is as good as any longer one, for on a quiet
// bench nothing changes; so the gaps to be tried are few, and the answer is exact: every longer gap was tried or follows.
func (l *bay) recovery(numbers []starlark.Value, size int) (*recovered, error) {
	r := &recovered{l: l, alone: make([]alone, len(numbers))}
	err := l.each("recovery: numbers alone", len(numbers), func(w *runner, i int) (err error) {
		r.alone[i], err = l.alone(w, numbers[i], size)
		return err
	}, func(i int) (bool, error) {
		l.trials += r.alone[i].trials
		r.gaps = max(r.gaps, r.alone[i].back)
		return true, nil
	})
	if err != nil {
		return nil, err
	}
	// First on a machine at rest after n, then with less and less time between; several gaps at once, to keep all workers busy.
	n := len(numbers)
	const what = "recovery: gaps"
	defer l.env.progress(what, r.gaps, r.gaps)
	for top := r.gaps; top >= 1; {
		gaps := min(top, int64(max(1, 32/n)))
		rows := make([]pairs, int(gaps)*n)
		failed := -1
		err := l.each("", len(rows), func(w *runner, u int) (err error) {
			rows[u], err = l.pairs(w, r, u%n, top-int64(u/n), size)
			return err
		}, func(u int) (bool, error) {
			l.trials += rows[u].trials
			if rows[u].fails {
				failed = u
			}
			return failed < 0, nil
		})
		if err != nil {
			return nil, err
		}
		if failed >= 0 {
			bad, a := rows[failed], &r.alone[failed%n]
			r.first, r.second, r.got = a.n, r.alone[bad.second].n, bad.got
			if bad.gap < a.back {
				r.ticks = top - int64(failed/n) + 1
			}
			return r, nil
		}
		top -= gaps
		l.env.progress(what, r.gaps-top, r.gaps)
	}
	r.ticks = 1
	return r, nil
}

// alone sends one number to a machine at rest.
func (l *bay) alone(w *runner, n starlark.Value, size int) (a alone, err error) {
	before := w.trials
	defer func() { a.trials = w.trials - before }()
	a.n = n
	t, err := l.pose(w, size)
	if err != nil {
		return a, err
	}
	rest := t.bench.Snapshot().Bench()
	if err = t.start(n); err != nil {
		return a, err
	}
	if a.back, err = t.rest(); err != nil {
		return a, fmt.Errorf("number %s alone: %w", show(n), err)
	}
	a.left = changed(rest, t.bench)
	got, ok, err := t.says(n)
	if err != nil {
		return a, err
	}
	if !ok {
		return a, fmt.Errorf("number %s is read as %s even on a machine at rest; recovery is for designs that read right there", show(n), got)
	}
	// Back from the end to the first tick from which on it reads n, each on a machine of its own: reading may leave traces.
	for a.latency = a.back; a.latency > 1; a.latency-- {
		if t, err = l.pose(w, size); err != nil {
			return a, err
		}
		if err = t.start(n); err != nil {
			return a, err
		}
		if err = t.ticks(a.latency - 1); err != nil {
			return a, err
		}
		if _, ok, err = t.says(n); err != nil {
			return a, err
		}
		if !ok {
			break
		}
	}
	return a, nil
}

// pairs is one number followed by every other, the same gap later, up to the first that fails.
type pairs struct {
	gap    int64
	fails  bool
	second int // which failed
	got    string
	trials int64
}

func (l *bay) pairs(w *runner, r *recovered, first int, gap int64, size int) (p pairs, err error) {
	before := w.trials
	defer func() { p.trials = w.trials - before }()
	p.gap = gap
	a := &r.alone[first]
	if gap == r.gaps {
		p.gap = max(1, a.back)
	} else if gap >= a.back {
		return p, nil // at rest: done
	}
	for p.second = range r.alone {
		got, ok, err := l.pair(w, a, &r.alone[p.second], p.gap, size)
		if err != nil || !ok {
			p.got, p.fails = got, !ok
			return p, err
		}
	}
	return p, nil
}

// pair sends n, and m gap ticks later.
func (l *bay) pair(w *runner, n, m *alone, gap int64, size int) (got string, ok bool, err error) {
	// as is what the machine says so many ticks after the start of n; -1: when all is quiet.
	as := func(when int64, want starlark.Value) (string, bool, error) {
		t, err := l.pose(w, size)
		if err != nil {
			return "", false, err
		}
		if err := t.start(n.n); err != nil {
			return "", false, err
		}
		if err := t.ticks(gap); err != nil {
			return t.trouble(err)
		}
		if err := t.start(m.n); err != nil {
			return "", false, err
		}
		if when < 0 {
			err = t.quiet()
		} else {
			err = t.ticks(when - gap)
		}
		if err != nil {
			return t.trouble(err)
		}
		return t.says(want)
	}
	if n.latency > gap { // n is still under way as m begins
		if n.latency >= gap+m.latency {
			return "the second before, or together with, the first", false, nil
		}
		if got, ok, err = as(n.latency, n.n); !ok || err != nil {
			return "the first as " + got, false, err
		}
	}
	if got, ok, err = as(-1, m.n); !ok || err != nil {
		return "the second as " + got, false, err
	}
	if gap < n.back { // at rest it takes the time it always takes
		if got, ok, err = as(gap+m.latency, m.n); !ok || err != nil {
			return fmt.Sprintf("the second, %s after its start, as %s", count(int(m.latency), "tick"), got), false, err
		}
	}
	return "", true, nil
}

// trouble is a run that did not end: the pair fails, unless the whole experiment was stopped.
func (t *rigged) trouble(err error) (string, bool, error) {
	if stopped := t.env.stopped(); stopped != nil {
		return "", false, stopped
	}
	return "nothing: " + err.Error(), false, nil
}

// changed names the parts and cells whose state is another on bench b than it was on bench a.
func changed(a, b *engine.Bench) (names []string) {
	one := func(id engine.ID) {
		s, t := a.State(id), b.State(id)
		if s == t {
			return
		}
		kind := b.KindOf(id)
		how := ""
		switch was, is := text(stateValue(kind, s)), text(stateValue(kind, t)); {
		case was != is:
			how = fmt.Sprintf("%s, was %s", is, was)
		case s.Level != t.Level:
			how = fmt.Sprintf("level %d, was %d", t.Level, s.Level)
		case s.Tokens != t.Tokens:
			how = fmt.Sprintf("%s, had %d", count(t.Tokens, "token"), s.Tokens)
		case s.Seated != t.Seated:
			how = fmt.Sprintf("slug %v, was %v", t.Seated, s.Seated)
		case s.Armed != t.Armed:
			how = map[bool]string{true: "armed, was not", false: "no longer armed"}[t.Armed]
		case s.Powered != t.Powered:
			how = map[bool]string{true: "powered, was not", false: "no longer powered"}[t.Powered]
		default:
			how = "not as before"
		}
		names = append(names, Who(b, id)+": "+how)
	}
	for id := range b.Parts() {
		one(id)
	}
	for id := range b.BareCells() {
		one(id)
	}
	if len(names) == 0 && a.Fingerprint() != b.Fingerprint() {
		names = append(names, "something inside a part that its state does not tell, such as whether a oneshot is ready")
	}
	return names
}

func (r *recovered) report() *Report {
	var s strings.Builder
	n := len(r.alone)
	f := starlark.StringDict{
		"design": starlark.String(r.l.name), "pairs": starlark.MakeInt(n * n), "gaps": starlark.MakeInt64(r.gaps), "trials": starlark.MakeInt64(r.l.trials),
		"ticks": starlark.None, "first": starlark.None, "second": starlark.None, "got": starlark.None,
	}
	if r.ticks > 0 {
		f["ticks"] = starlark.MakeInt64(r.ticks)
		fmt.Fprintf(&s, "recovery   %s from one start to the next, for all %s of %s", count(int(r.ticks), "tick"), count(n*n, "pair"), count(n, "number"))
	} else {
		fmt.Fprintf(&s, "recovery   none: no gap is long enough")
	}
	if r.first != nil {
		f["first"], f["second"], f["got"] = r.first, r.second, starlark.String(r.got)
		when := "on a machine come to rest"
		if r.ticks > 0 {
			when = fmt.Sprintf("after %s", count(int(r.ticks-1), "tick"))
		}
		fmt.Fprintf(&s, "\nfails      %s then %s, %s: reads %s", show(r.first), show(r.second), when, r.got)
	}
	fmt.Fprintf(&s, "\nlongest    %s after its start until all is quiet", count(int(r.gaps-1), "tick"))
	latency, back := starlark.NewDict(n), starlark.NewDict(n)
	left := []starlark.Value{}
	for i := range r.alone {
		a := &r.alone[i]
		if _, err := a.n.Hash(); err == nil {
			latency.SetKey(a.n, starlark.MakeInt64(a.latency-1))
			back.SetKey(a.n, starlark.MakeInt64(a.back-1))
		}
		if len(a.left) == 0 {
			continue
		}
		parts := make([]starlark.Value, len(a.left))
		for k, p := range a.left {
			parts[k] = starlark.String(p)
		}
		left = append(left, structOf("left", starlark.StringDict{"number": a.n, "parts": starlark.NewList(parts)}))
	}
	f["latency"], f["back"], f["left"] = latency, back, starlark.NewList(left)
	if len(left) == 0 {
		s.WriteString("\nleft       nothing: after every number all is as posed")
	} else {
		fmt.Fprintf(&s, "\nleft       after %d of %s something is not as posed:", len(left), count(n, "number"))
		for i := range r.alone {
			if a := &r.alone[i]; len(a.left) > 0 {
				shown := a.left[:min(len(a.left), 4)]
				more := ""
				if len(a.left) > len(shown) {
					more = fmt.Sprintf("; and %d more", len(a.left)-len(shown))
				}
				fmt.Fprintf(&s, "\n           %s: %s%s", show(a.n), strings.Join(shown, "; "), more)
			}
		}
	}
	fmt.Fprintf(&s, "\ntried      %s", count(int(r.l.trials), "trial"))
	f.Freeze()
	return &Report{"recovery", s.String(), f}
}
