package calibrate

import (
	_ "embed"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"pulsewright/engine"
)

// mostTokens is how many tokens a tray is loaded with at most.
const mostTokens = 100

// mostLooks is in how many ticks one rig is looked at.
const mostLooks = 20

func letters(kind engine.Kind, at engine.Cell, facing engine.Dir) piece {
	return piece{at, engine.Part{Kind: kind, Facing: facing}}
}

// rowRig is a key and a row of n conductors or reeds: how many of them does it hold? Reeds face across the row: the key feeds the first
// alone, where one that faced along it would feed the second at its far pad, too.
func rowRig(kind engine.Kind, n int, about string) *Rig {
	r := &Rig{name: fmt.Sprintf("%s by a row of %d", about, n), about: about}
	r.add(letters(engine.Key, engine.Cell{}, 0))
	row := watch{name: "row"}
	for i := range n {
		row.parts = append(row.parts, len(r.parts))
		r.parts = append(r.parts, letters(kind, engine.Cell{X: int32(i + 1)}, engine.PosY))
	}
	r.seen = []watch{row}
	return r
}

// meterRig is a meter before a loaded tray: it shows the tokens, at most reach. The key tells it.
func meterRig(most int) *Rig {
	n := min(most, mostTokens)
	r := &Rig{name: fmt.Sprintf("reach by a meter, %d tokens", n), about: "reach"}
	r.add(letters(engine.Key, engine.Cell{X: 1, Y: 1}, 0))
	r.parts = append(r.parts, piece{engine.Cell{}, engine.Part{Kind: engine.Tray, Tokens: n, Room: n}}, letters(engine.Meter, engine.Cell{X: 1}, engine.PosX))
	r.parts[2].Name = "meter"
	r.seen = []watch{{"meter", []int{2}}}
	return r
}

// landingRig is a lamp behind the far seat of a shuttle: when does the slug land?
func landingRig(most int) *Rig {
	r := &Rig{name: "travel by a lamp", about: "travel"}
	r.add(letters(engine.Key, engine.Cell{}, 0))
	r.parts = append(r.parts, piece{engine.Cell{X: 1}, engine.Part{Kind: engine.Shuttle, Slug: engine.Feed}}, letters(engine.Lamp, engine.Cell{X: 4}, 0))
	r.parts[2].Name = "lamp"
	r.seen = []watch{{"lamp", []int{2}}}
	for t := range min(max(most, 2), mostLooks) {
		r.looks = append(r.looks, int64(t+1))
	}
	return r
}

//go:embed rigs.txt
var rigText string

// found are the rigs of rigs.txt as they are written there.
var found = sync.OnceValue(func() (rigs []*Rig) {
	number := map[string]int{}
	for line := range strings.Lines(rigText) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		r, err := readRig(line)
		if err != nil {
			panic("calibrate: rigs.txt: " + err.Error())
		}
		number[r.about]++
		r.name = fmt.Sprintf("%s %d", r.about, number[r.about])
		rigs = append(rigs, r)
	}
	return rigs
})

// layings are the found rigs in all the ways that tell different orders apart, or tell them otherwise.
var layings = sync.OnceValue(func() []laying {
	orders := allOrders()
	number := map[[6]engine.Dir]int{}
	for i, o := range orders {
		number[o.Order] = i
	}
	ways := turnings()
	turned := make([][]int, len(ways))
	for w, turn := range ways {
		for _, o := range orders {
			turned[w] = append(turned[w], number[turn.back(o.Order)])
		}
	}
	bases := found()
	laid := make([][]laying, len(bases))
	var next atomic.Int64
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(bases); i = int(next.Add(1)) - 1 {
				laid[i] = lay(bases[i], orders, ways, turned)
			}
		})
	}
	all.Wait()
	return slices.Concat(laid...)
})

// lay lays a found rig in all the ways that tell different orders apart, or tell them otherwise. turned has, by way, the order that each is when it is turned back.
func lay(base *Rig, orders []engine.Rules, ways []turning, turned [][]int) (rigs []laying) {
	runs := newRuns(base)
	shows := map[string]byte{}
	var plain [2][]byte // what it shows under each order, by reads
	for k := range plain {
		for _, o := range orders {
			o.Reads = engine.Reads(k)
			text := runs.outcome(o, 0)
			if _, ok := shows[text]; !ok {
				shows[text] = byte(len(shows))
			}
			plain[k] = append(plain[k], shows[text])
		}
	}
	known := map[string]bool{}
	for w, turn := range ways {
		var tells []byte // outcomes by number, counted as they come: who won has another name in a mirror
		count := map[byte]byte{}
		for k := range plain {
			for _, i := range turned[w] {
				n, ok := count[plain[k][i]]
				if !ok {
					n = byte(len(count))
					count[plain[k][i]] = n
				}
				tells = append(tells, n)
			}
		}
		if known[string(tells)] {
			continue
		}
		known[string(tells)] = true
		l := laying{rig: base.turned(turn), runs: runs, turn: turn}
		l.rig.name = fmt.Sprintf("%s laid %v %v %v", base.name, turn[engine.PosX], turn[engine.PosY], turn[engine.PosZ])
		rigs = append(rigs, l)
	}
	return rigs
}

// laying is a rig as it is laid, with the runs of the rig as it was found. No rule but the drop of a token names a direction of the
// world, and no such rig holds a bucket: what it shows under an order is what the plain one shows under the order turned back.
type laying struct {
	rig  *Rig
	runs *runs
	turn turning
	at   engine.Cell // where it is built, which counts under mixed orders
}

// outcome is what it shows in a world, where way is how its kind of the user's own is told, if it has one.
func (l laying) outcome(rules engine.Rules, way int) string {
	if rules.Mixed { // place and way matter: it is run as it is laid
		text, err := l.rig.told(l.rig.kin.way(way)).outcome(rules, l.at)
		if err != nil {
			panic("calibrate: " + l.rig.name + ": " + err.Error())
		}
		return text
	}
	rules.Order = l.turn.back(rules.Order)
	return l.runs.outcome(rules, way)
}

// runs remembers what a rig has shown, by all of the rules that it can tell apart.
type runs struct {
	sync.Mutex
	rig        *Rig
	masks      [][6]bool
	reach, run int
	alike      func(combo) combo
	shown      map[runKey]*shown
}

// shown is what a rig has shown in one world; whoever asks for it first runs it, without holding others up.
type shown struct {
	sync.Once
	text string
}

type runKey struct {
	order string
	combo
}

func newRuns(r *Rig) *runs {
	reach, run := r.most()
	return &runs{rig: r, masks: r.ways(), reach: reach, run: run, alike: r.aliker(), shown: map[runKey]*shown{}}
}

// outcome runs the rig in a world, unless one that acts alike has been run.
func (m *runs) outcome(rules engine.Rules, way int) string {
	key := runKey{orderKey(rules, m.masks), m.alike(combo{news: rules.News, reads: rules.Reads, travel: rules.Travel, reach: rules.Reach, run: rules.Run, kinds: way})}
	m.Lock()
	r := m.shown[key]
	if r == nil {
		r = new(shown)
		m.shown[key] = r
	}
	m.Unlock()
	r.Do(func() {
		text, err := m.rig.told(m.rig.kin.way(way)).outcome(rules, engine.Cell{})
		if err != nil {
			panic("calibrate: " + m.rig.name + ": " + err.Error())
		}
		r.text = text
	})
	return r.text
}

// aliker gives for a combination that which stands for all on which the rig acts as on this one.
func (r *Rig) aliker() func(combo) combo {
	reach, run := r.most()
	steady, last := r.steady(), r.lastLook()
	return func(c combo) combo {
		c.reach, c.run, c.weight = min(c.reach, max(reach, 1)), min(c.run, run), 0
		switch {
		case steady:
			c.travel = 1
		case last > 0:
			c.travel = min(c.travel, last)
		}
		return c
	}
}

// allOrders are the 720 neighbour orders under the usual rules, the usual one first.
var allOrders = sync.OnceValue(func() (all []engine.Rules) {
	var grow func(o []engine.Dir)
	grow = func(o []engine.Dir) {
		if len(o) == 6 {
			r := engine.DefaultRules()
			r.Order = [6]engine.Dir(o)
			all = append(all, r)
			return
		}
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if !slices.Contains(o, d) {
				grow(append(slices.Clone(o), d))
			}
		}
	}
	grow(nil)
	return all
})

// catalogue are all rigs with at most so many parts, for worlds whose numbers go up to these.
func catalogue(most, travel, reach int, kin []*family) (rigs []laying) {
	plain := turnings()[0]
	add := func(r *Rig) {
		if len(r.parts) <= most {
			rigs = append(rigs, laying{rig: r, runs: newRuns(r), turn: plain})
		}
	}
	add(meterRig(reach))
	add(landingRig(travel))
	for n := 2; n < most; n++ {
		add(rowRig(engine.Wire, n, "reach"))
		add(rowRig(engine.Reed, n, "run"))
	}
	for _, f := range kin {
		for _, r := range f.rigs() {
			add(r)
		}
	}
	for _, l := range layings() {
		if len(l.rig.parts) <= most {
			rigs = append(rigs, l)
		}
	}
	return rigs
}
