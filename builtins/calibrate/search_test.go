package calibrate

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"pulsewright/engine"
)

// searchWorlds are worlds by lot in which rigs are tried.
func searchWorlds(r *rand.Rand, n int, about string) (ws []engine.Rules) {
	for i := range n {
		w := engine.DefaultRules()
		if about != "news and reads" || i%8 == 0 {
			r.Shuffle(6, func(i, j int) { w.Order[i], w.Order[j] = w.Order[j], w.Order[i] })
		} else {
			w.Order = ws[i-1].Order
		}
		if about == "news and reads" {
			w.News, w.Reads = engine.News(i%2), engine.Reads(i/2%2)
		}
		ws = append(ws, w)
	}
	return ws
}

// bitsIn is how many bits a rig gives about worlds that are all alike likely.
func bitsIn(r *Rig, ws []engine.Rules) (bits float64, ok bool) {
	count := map[string]int{}
	for _, w := range ws {
		o, err := r.outcome(w, engine.Cell{})
		if err != nil || o == endless {
			return 0, false
		}
		count[o]++
	}
	for _, n := range count {
		p := float64(n) / float64(len(ws))
		bits -= p * math.Log2(p)
	}
	return bits, true
}

// randomRig is a key and some parts around it, by lot; or a rig with one part less and some more.
func randomRig(r *rand.Rand, about string, from *Rig) *Rig {
	rig := &Rig{about: about}
	if about == "shared" {
		return sharedRig(r)
	}
	if from != nil {
		rig = from.without(1 + r.IntN(len(from.parts)-1))
	} else {
		rig.add(piece{Part: engine.Part{Kind: engine.Key}})
	}
	kinds := []engine.Kind{engine.Shuttle, engine.Shuttle, engine.Shuttle, engine.Link, engine.Reed, engine.Reed, engine.Wire, engine.Battery}
	if about == "order" {
		kinds = []engine.Kind{engine.Shuttle, engine.Shuttle, engine.Wire, engine.Wire, engine.Reed, engine.Link}
	}
	var cells []engine.Cell
	taken := map[engine.Cell]bool{}
	for _, p := range rig.parts {
		cells, taken[p.at] = append(cells, p.at), true
	}
	flat := r.IntN(2) == 0
	n := 4 + r.IntN(9)
	if from != nil {
		n = 1 + r.IntN(4)
	}
	for ; n > 0; n-- {
		from := cells[r.IntN(len(cells))]
		d := engine.Dir(r.IntN(6))
		if flat {
			d = engine.Dir(r.IntN(4))
		}
		p := piece{at: from.Add(d.Cell()), Part: engine.Part{Kind: kinds[r.IntN(len(kinds))], Facing: engine.Dir(r.IntN(6))}}
		if flat {
			p.Facing = engine.Dir(r.IntN(4))
		}
		if r.IntN(6) == 0 {
			p.at = p.at.Add(d.Cell())
		}
		if taken[p.at] {
			continue
		}
		taken[p.at] = true
		if p.Kind == engine.Shuttle {
			p.Slug = engine.Slug(1 + r.IntN(3))
			if r.IntN(2) == 0 {
				p.Slug = engine.Feed
			}
			p.Out = r.IntN(8) == 0
		}
		cells = append(cells, p.at)
		rig.add(p)
	}
	return rig
}

// sharedRig is some pairs around one key, each laid by lot.
func sharedRig(r *rand.Rand) *Rig {
	lines := []string{
		"order: key(0,0,0) shuttle(0,1,0)+y/bridge shuttle(-1,1,0)+y/plug/out shuttle(0,-1,0)-x/feed",
		"order: key(0,0,0) shuttle(1,0,0)-y/feed link(0,-1,0)-x shuttle(-1,-1,0)-x/feed/out",
		"order: key(0,0,0) link(0,1,0)-x shuttle(0,-1,0)+x/feed shuttle(1,1,0)+y/feed/out",
		"order: key(0,0,0) shuttle(0,0,1)-x/feed shuttle(0,0,-1)-y/feed shuttle(0,-1,1)+z/bridge/out",
		"order: key(0,0,0) shuttle(2,0,0)-y/bridge wire(1,0,0) shuttle(0,-2,0)+x/bridge wire(0,-1,0)",
	}
	ways := turnings()
	rig := &Rig{about: "order"}
	taken := map[engine.Cell]piece{}
	for range 2 + r.IntN(3) {
		one, err := readRig(lines[r.IntN(len(lines))])
		if err != nil {
			panic(err)
		}
		for _, p := range one.turned(ways[r.IntN(len(ways))]).parts {
			p.Name = ""
			if old, ok := taken[p.at]; ok {
				if old.Kind != p.Kind {
					break
				}
				continue
			}
			taken[p.at] = p
			rig.add(p)
		}
	}
	return rig
}

// without is the rig without a part.
func (r *Rig) without(i int) *Rig {
	less := &Rig{about: r.about}
	for k, p := range r.parts {
		if k != i {
			p.Name = ""
			less.add(p)
		}
	}
	return less
}

// fitsBench reports whether all parts find room.
func fitsBench(r *Rig) bool {
	_, err := r.place(engine.New(engine.DefaultRules()), engine.Cell{}, "")
	return err == nil
}

// TestSearch looks for rigs by lot, for as many seconds as PULSEWRIGHT_RIGS says, and prints the best for each number of parts, in the
// form in which rigs.txt keeps them.
func TestSearch(t *testing.T) {
	seconds, _ := strconv.Atoi(os.Getenv("PULSEWRIGHT_RIGS"))
	about := os.Getenv("PULSEWRIGHT_ABOUT")
	tries, worlds := math.MaxInt, 400
	if seconds == 0 { // only to see that it finds what it looks for
		about, tries, worlds, seconds = "shared", 25, 60, 600
	}
	seed, _ := strconv.Atoi(os.Getenv("PULSEWRIGHT_SEED"))
	random := rand.New(rand.NewPCG(uint64(seed), 7))
	few, many := searchWorlds(random, 16, about), searchWorlds(random, worlds, about)
	type best struct {
		bits float64
		rig  *Rig
	}
	bests := map[int]best{}
	tried := 0
	for end := time.Now().Add(time.Duration(seconds) * time.Second); tried < tries && time.Now().Before(end); tried++ {
		var from *Rig
		if k := 4 + random.IntN(12); random.IntN(4) > 0 && about != "shared" {
			from = bests[k].rig
		}
		rig := randomRig(random, about, from)
		if !fitsBench(rig) {
			continue
		}
		if bits, ok := bitsIn(rig, few[:4]); !ok || bits == 0 {
			if bits, ok = bitsIn(rig, few); !ok || bits < 0.3 {
				continue
			}
		}
		bits, ok := bitsIn(rig, many)
		if !ok || bits < 0.5 {
			continue
		}
		for i := len(rig.parts) - 1; i > 0; i-- {
			if less := rig.without(i); fitsBench(less) {
				if b, ok := bitsIn(less, many); ok && b > bits-0.01 {
					rig, bits = less, b
				}
			}
		}
		n := len(rig.parts)
		if n > 16 {
			continue
		}
		if bits > bests[n].bits+1e-6 {
			bests[n] = best{bits, rig}
			t.Logf("%2d parts %.3f bits  %s: %s", n, bits, rig.about, rig.written())
		}
	}
	if len(bests) == 0 {
		t.Fatalf("no rig tells anything, of %d", tried)
	}
	var ns []int
	for n := range bests {
		ns = append(ns, n)
	}
	slices.Sort(ns)
	t.Logf("the best of %d", tried)
	for _, n := range ns {
		t.Logf("%2d parts %.3f bits  %s: %s", n, bests[n].bits, bests[n].rig.about, bests[n].rig.written())
	}
}
