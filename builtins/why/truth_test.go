package why

import (
	"context"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// benchAtRandom is a small bench of random parts, with a few stimuli given and some turns run.
func benchAtRandom(dice *rand.Rand) *engine.Bench {
	rules := engine.DefaultRules()
	rules.Travel = 1 + dice.IntN(3)
	if dice.IntN(4) == 0 {
		rules.Reads = engine.ByStep
	}
	b := engine.New(rules)
	b.KeepHistory(true)
	at := func() engine.Cell {
		return engine.Cell{X: int32(dice.IntN(5)), Y: int32(dice.IntN(3)), Z: int32(dice.IntN(2))}
	}
	kinds := engine.Kinds()
	for range 16 {
		p := engine.Part{Kind: kinds[dice.IntN(len(kinds))], Facing: engine.Dir(dice.IntN(6)), Op: engine.Op(dice.IntN(4)), Tokens: dice.IntN(2), Room: 2}
		switch p.Kind {
		case engine.Delay, engine.Oneshot, engine.Chute:
			p.Ticks, p.Mode = 1+dice.IntN(4), engine.Mode(dice.IntN(3))
		case engine.Shuttle:
			p.Slug = engine.Slug(1 + dice.IntN(3))
		}
		b.Place(at(), p) // if the cell is free
	}
	for range 3 {
		for range 1 + dice.IntN(3) {
			c := at()
			if id, ok := b.PartAt(c); ok && b.KindOf(id) == engine.Key {
				b.Press(id, 0)
			} else if dice.IntN(3) == 0 {
				b.Nudge(engine.Target{Cell: c}, false, 0)
			} else {
				b.Fire(engine.Target{Cell: c}, engine.Firing{Steps: dice.IntN(4), Ticks: dice.IntN(5)})
			}
		}
		for range dice.IntN(25) {
			if ok, err := b.Turn(); !ok || err != nil {
				break
			}
		}
	}
	return b
}

// TestSentencesAreTrue reads what whynot, armed and state print of random benches, and holds each sentence against the bench.
func TestSentencesAreTrue(t *testing.T) {
	seen := map[string]int{}
	for seed := range uint64(150) {
		dice := rand.New(rand.NewPCG(seed, 3))
		b := benchAtRandom(dice)
		env := &builtins.Env{Bench: engine.New(engine.DefaultRules()), Seed: 1}
		env.Bench, env.Width = b, 4000
		listed := (&ArmedList{bench: b}).of(env)
		for id := range b.Parts() {
			since := engine.Instant{}
			if n := b.EventCount(); n > 0 && dice.IntN(2) == 0 {
				since = b.Event(engine.EventID(1 + dice.IntN(n))).At()
			}
			still, err := b.WhyNot(context.Background(), id, since)
			if err != nil {
				t.Fatal(err)
			}
			w := &WhyNot{bench: b, today: b, Still: still}
			w.text = w.story(env)
			s, kind := b.State(id), b.KindOf(id)
			wrong := func(what string) {
				t.Helper()
				t.Errorf("seed %d, %s: %s\n%s\n%+v", seed, b.Label(id), what, w.text, s)
			}
			own := 0 // what it did since
			for _, e := range b.Events(1) {
				if e.ID == id && since.Before(e.At()) && e.What != engine.Forced && e.What != engine.Freed && e.What != engine.Nudged {
					own++
				}
			}
			says := func(text string) bool {
				if !strings.Contains(w.text, text) {
					return false
				}
				seen[text]++
				return true
			}
			first, _, _ := strings.Cut(w.text, "\n")
			state := builtins.Text(builtins.StateValue(kind, s))
			if says("armed but untold") != (s.Armed && still.Reason == engine.Untold && kind != engine.Chute) {
				wrong("armed is said wrongly")
			}
			if slices.Contains(listed.ids, id) != s.Armed {
				wrong("armed() lists it wrongly")
			}
			if says("never told") && (still.Told > 0 || own > 0) {
				wrong("it was told")
			}
			if says("as it was since") && own > 0 {
				wrong("it changed")
			}
			if says("reads a live pad") && !s.Powered && kind != engine.Reed || says("reads no live pad") && s.Powered {
				wrong("it reads otherwise")
			}
			if says("keeps still while it is fed") && !s.Powered {
				wrong("it is not fed")
			}
			if says("is dead:") && s.On || says("does not conduct") && s.Conduct {
				wrong("it is live, or conducts")
			}
			if m := regexp.MustCompile(`it is (on|off|out|home|lit|dark) and reads`).FindStringSubmatch(first); m != nil && m[1] != state {
				wrong("it is " + state)
			}
			if m := regexp.MustCompile(`due in tick (\d+)`).FindStringSubmatch(first); m != nil {
				if due, _ := strconv.ParseInt(m[1], 10, 64); due < b.Now().Tick || !s.Timer && kind != engine.Delay && kind != engine.Oneshot {
					wrong("no timer is set")
				}
			}
			for _, m := range regexp.MustCompile(`(went|was|set|lapsed|moved|passed|dropped|read|lit)[^;,]*? at (\d+)\.(\d+)\.(\d+)`).FindAllStringSubmatch(first, -1) {
				if !strings.Contains(fmt.Sprint(instants(b)), " "+m[2]+"."+m[3]+"."+m[4]+" ") {
					wrong("nothing happened at " + m[2] + "." + m[3] + "." + m[4])
				}
			}
			if did := w.did(); len(did) > 0 && own == 0 {
				wrong("it did nothing")
			}
			if (still.Reason == engine.Untold || still.Reason == engine.Timed) && own > 0 && kind != engine.Key && !says("since then it") {
				wrong("what it did is not told")
			}
			if unfed, fed := says("while unfed"), says("while fed"); unfed || fed {
				h := still.Hit
				if h == nil && still.Reason == engine.Timed {
					h = &engine.Hearing{} // before since
				}
				final := regexp.MustCompile(`(?m)^ *it was told .*$`).ReplaceAllString(w.text, "") // without what else it was told
				unfed = strings.Contains(final, "while unfed")
				if still.Reason != engine.Acted && (unfed || strings.Contains(final, "while fed")) && (h == nil || h.Powered == unfed) {
					wrong("it was not fed so when it was told")
				}
			}
			for _, m := range regexp.MustCompile(`it was told (?:at|\w+(?: times)? at|\w+(?: times)?, from) (\S+) .*?while (fed|unfed)`).FindAllStringSubmatch(w.text, -1) {
				if !slices.ContainsFunc(still.Heard, func(h engine.Hearing) bool { return h.At.String() == m[1] && h.Powered == (m[2] == "fed") }) {
					wrong("it was not told so: " + m[0])
				}
			}
			if m := regexp.MustCompile(`its power changed again at (\S+):`).FindStringSubmatch(w.text); m != nil {
				if !slices.ContainsFunc(still.Swings, func(x engine.Swing) bool { return x.At.String() == m[1] && b.Event(still.Event).At().Before(x.At) }) {
					wrong("its power did not change then")
				}
			}
			if m := regexp.MustCompile(`while unfed, as .* at (\d+\.\d+\.\d+): `).FindStringSubmatch(w.text); m != nil {
				if !slices.ContainsFunc(still.Swings, func(x engine.Swing) bool { return b.Event(x.By).At().String() == m[1] && !x.Powered }) {
					wrong("that did not take its power")
				}
			}
			if kind == engine.Bucket && still.Reason == engine.Acted && len(still.Heard) > 0 && own > 0 {
				for _, h := range still.Heard { // what it found in vain is told; of what led to an act that is told itself
					if h.Found == engine.Empty && !w.ledTo(&h) && !says("it held no token") {
						wrong("it was told in vain, and that is not told")
					}
				}
			}
			if says("no change since") || says("neither live nor dead anew") {
				for _, teller := range still.Tellers {
					last := b.LastChange(teller, 0)
					quiet := last == 0 || !since.Before(b.Event(last).At())
					if line := lineOf(w.text, "    "+builtins.Who(b, teller)+","); line != "" && strings.Contains(line, "last changed when") == quiet {
						wrong("its teller changed otherwise: " + line)
					}
				}
			}
		}
	}
	for _, text := range []string{"armed but untold", "never told", "reads a live pad", "reads no live pad", "while unfed", "while fed", "is dead:", "no change since", "since then it"} {
		if seen[text] < 5 {
			t.Errorf("%q was said %d times only", text, seen[text])
		}
	}
}

// TestAtIsWhatWasSaidThen: what whynot says of a moment that is past is what it said when it was that moment, and what is changed by hand
// later makes no difference.
func TestAtIsWhatWasSaidThen(t *testing.T) {
	type said struct {
		id    engine.ID
		at    engine.Instant
		since engine.Instant
		text  string
	}
	tell := func(b *engine.Bench, id engine.ID, since engine.Instant) string {
		still, err := b.WhyNot(context.Background(), id, since)
		if err != nil {
			t.Fatal(err)
		}
		w := &WhyNot{bench: b, today: b, Still: still}
		return w.story(&builtins.Env{Bench: b, Width: 4000})
	}
	asked := 0
	for seed := range uint64(60) {
		dice := rand.New(rand.NewPCG(seed, 4))
		b := benchAtRandom(dice)
		var ids []engine.ID
		for id := range b.Parts() {
			ids = append(ids, id)
		}
		var all []said
		for range 6 {
			b.Fire(engine.Target{Cell: engine.Cell{X: int32(dice.IntN(5)), Y: int32(dice.IntN(3))}}, engine.Firing{Steps: dice.IntN(4), Ticks: dice.IntN(5), At: b.Now().Tick + 1 + int64(dice.IntN(6))})
		}
		for range 40 {
			if ok, err := b.Turn(); !ok || err != nil {
				break
			}
			s := said{id: ids[dice.IntN(len(ids))], at: b.Now(), since: lastGiven(b)}
			if dice.IntN(2) == 0 {
				s.since = engine.Instant{}
			}
			s.text = tell(b, s.id, s.since)
			all = append(all, s)
		}
		if len(all) < 2 {
			continue
		}
		all = all[:len(all)-1]
		b.Place(engine.Cell{X: -1}, engine.Part{Kind: engine.Battery})
		b.Nudge(engine.Target{Cell: engine.Cell{}}, true, 0)
		b.Turn()
		for _, s := range all {
			c, err := b.Then(context.Background(), s.at)
			if err != nil || c == nil || c == b {
				t.Fatalf("seed %d: then %v: %v, %v", seed, s.at, c, err)
			}
			if got := tell(c, s.id, s.since); got != s.text || s.since != (engine.Instant{}) && lastGiven(c) != s.since {
				t.Errorf("seed %d: of %s at %v\nlater %s\nthen  %s", seed, b.Label(s.id), s.at, got, s.text)
			}
			asked++
		}
	}
	if asked < 300 {
		t.Errorf("only %d moments were asked about", asked)
	}
}

// instants lists the instants at which anything happened or a turn of the history ran.
func instants(b *engine.Bench) []string {
	all := []string{""}
	for _, e := range b.Events(1) {
		all = append(all, e.At().String())
	}
	return append(all, "")
}

func lineOf(text, begin string) string {
	for line := range strings.SplitSeq(text, "\n") {
		if strings.HasPrefix(line, begin) {
			return line
		}
	}
	return ""
}
