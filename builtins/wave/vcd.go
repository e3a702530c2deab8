package wave

import (
	"bufio"
	"fmt"
	"io"
	"math/big"
	"math/bits"
	"slices"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/engine"
)

// A value change dump is written as IEEE Std 1364-2005, clause 18, has it: four-state, of which only 0 and 1 are used.
//
//   - time is tick*K + step; K is a power of ten, at least 1000 and above every step, and stands in a comment. The unit
//     (1 ns) is that of a step and means nothing; it is there because the standard wants one.
//   - the parts lie in scopes by the dots of their names: r1.pull is pull in module r1, all of them inside module bench.
//   - a part that goes on and off is a wire of 1 bit: 1 while on, out, live, lit or pressed. A bare cell is 1 while it is
//     forced, or live by a bridge. A meter is an integer. A bucket, tray or chute is an event that happens with every
//     token that goes or is consumed. Of a kind of a script's own it is the number of the state that the log said last
//     (vcd_told.go); a comment has the names.
//   - what rises and falls in one step has both changes, in their order, at the same time.
//   - $dumpvars holds what was before the first change; a meter whose first change is to level 0 is left out there,
//     since the log does not say from what.

// vcdWriter writes one dump.
type vcdWriter struct {
	out   *bufio.Writer
	k     int64
	codes []string // by engine.ID; "" for what is not in the dump
	kinds []picture.LaneSort
	bench *engine.Bench
	told  []int32 // by engine.ID, of a kind of a script's own: the state that the log said last; -1 if none
	at    picture.Moment
	timed bool
}

// writeVCD writes the events first to last of the parts that want names; nil: of all.
func writeVCD(w io.Writer, e *builtins.Env, want map[engine.ID]bool, first, last engine.EventID) error {
	b := e.Bench
	v := &vcdWriter{out: bufio.NewWriterSize(w, 1<<16), k: 1000, bench: b}
	s := picture.NewSignals(b)
	for id, ev := range b.Events(first) {
		if id > last {
			break
		}
		for int64(ev.Step) >= v.k {
			v.k *= 10
		}
	}
	now := b.Now()
	for int64(now.Step) >= v.k {
		v.k *= 10
	}
	v.declare(b, want)
	start := picture.Moment{}
	if first > 1 && int(first) <= b.EventCount() {
		ev := b.Event(first)
		start = picture.Moment{Tick: ev.Tick, Step: ev.Step}
	}
	for id, ev := range b.Events(1) {
		if id >= first {
			break
		}
		s.Take(ev)
		v.enters(ev)
	}
	v.time(start)
	v.out.WriteString("$dumpvars\n")
	for id, code := range v.codes {
		if code == "" || v.kinds[id] == picture.LaneMoments {
			continue
		}
		if value, known := v.starts(engine.ID(id), s.Start); known {
			v.change(engine.ID(id), value)
		}
	}
	v.out.WriteString("$end\n")
	end := start
	for id, ev := range b.Events(first) {
		if id > last {
			break
		}
		if id%(1<<16) == 0 {
			if err := e.Stopped(); err != nil {
				return err
			}
		}
		value, changed := s.Take(ev)
		if ev.What == engine.Enters {
			value, changed = v.enters(ev)
		}
		end = picture.Moment{Tick: ev.Tick, Step: ev.Step}
		if int(ev.ID) >= len(v.codes) || v.codes[ev.ID] == "" {
			continue
		}
		if v.kinds[ev.ID] == picture.LaneMoments {
			if !tokenWord(ev.What) {
				continue
			}
			value = 1
		} else if !changed {
			continue
		}
		v.time(end)
		v.change(ev.ID, value)
	}
	if int(last) == b.EventCount() {
		if m := (picture.Moment{Tick: now.Tick, Step: int32(now.Step)}); end.Before(m) {
			end = m
		}
	}
	v.time(end)
	return v.out.Flush()
}

func tokenWord(w engine.What) bool {
	switch w {
	case engine.Passes, engine.Drops, engine.Moves, engine.Consumes:
		return true
	}
	return false
}

// time begins the changes of an instant.
func (v *vcdWriter) time(m picture.Moment) {
	if v.timed && v.at == m {
		return
	}
	v.at, v.timed = m, true
	v.out.WriteByte('#')
	if hi, lo := bits.Mul64(uint64(m.Tick), uint64(v.k)); hi == 0 && lo < 1<<63 {
		v.out.Write(strconv.AppendUint(v.out.AvailableBuffer(), lo+uint64(m.Step), 10))
	} else {
		t := new(big.Int).Mul(big.NewInt(m.Tick), big.NewInt(v.k))
		v.out.WriteString(t.Add(t, big.NewInt(int64(m.Step))).String())
	}
	v.out.WriteByte('\n')
}

func (v *vcdWriter) change(id engine.ID, value int32) {
	if v.kinds[id] == picture.LaneLevel || v.bits(id) > 1 {
		v.out.WriteByte('b')
		v.out.Write(strconv.AppendInt(v.out.AvailableBuffer(), int64(value), 2))
		v.out.WriteByte(' ')
	} else {
		v.out.WriteByte('0' + byte(value))
	}
	v.out.WriteString(v.codes[id])
	v.out.WriteByte('\n')
}

// declare writes everything before the first time.
func (v *vcdWriter) declare(b *engine.Bench, want map[engine.ID]bool) {
	fmt.Fprintf(v.out, "$comment\n  time = tick * %d + step\n$end\n$version\n  pulsewright\n$end\n$timescale\n  1 ns\n$end\n", v.k)
	root := &vcdScope{name: "bench"}
	add := func(id engine.ID) {
		for int(id) >= len(v.codes) {
			v.codes, v.kinds = append(v.codes, ""), append(v.kinds, picture.LaneOnOff)
		}
		if v.codes[id] != "" || want != nil && !want[id] {
			return
		}
		v.codes[id], v.kinds[id] = "?", picture.SortOf(b.KindOf(id))
		root.place(b, id)
	}
	for id := range b.Parts() {
		add(id)
	}
	for _, ev := range b.Events(1) {
		if int(ev.ID) >= len(v.codes) || v.codes[ev.ID] == "" {
			add(ev.ID)
		}
	}
	v.tell()
	n := 0
	root.declare(v, &n)
	v.out.WriteString("$enddefinitions $end\n")
}

// vcdScope is a scope of a dump: what has the same beginning of its name.
type vcdScope struct {
	name   string
	scopes []*vcdScope
	vars   []vcdVar
	byName map[string]*vcdScope
	taken  map[string]bool // names of variables
	inside map[string]bool // names of scopes
}

type vcdVar struct {
	name string
	id   engine.ID
}

// place puts a part where the dots of its name say.
func (s *vcdScope) place(b *engine.Bench, id engine.ID) {
	name := b.Name(id)
	if name == "" {
		// The numbers of a cell have no dots: what has no name lies on top.
		s.vars = append(s.vars, vcdVar{unique(&s.taken, vcdName(b.Label(id))), id})
		return
	}
	path := strings.Split(name, ".")
	for _, p := range path[:len(path)-1] {
		s = s.inner(p)
	}
	s.vars = append(s.vars, vcdVar{unique(&s.taken, vcdName(path[len(path)-1])), id})
}

func (s *vcdScope) inner(name string) *vcdScope {
	in := s.byName[name]
	if in == nil {
		if s.byName == nil {
			s.byName = map[string]*vcdScope{}
		}
		in = &vcdScope{name: unique(&s.inside, vcdName(name))}
		s.byName[name] = in
		s.scopes = append(s.scopes, in)
	}
	return in
}

// unique is the name, or one with a number behind it if it is taken: of parts that were taken away, or where the dump
// cannot hold what tells two names apart.
func unique(taken *map[string]bool, name string) string {
	if *taken == nil {
		*taken = map[string]bool{}
	}
	free := name
	for n := 2; (*taken)[free]; n++ {
		free = name + "_" + strconv.Itoa(n)
	}
	(*taken)[free] = true
	return free
}

func (s *vcdScope) declare(v *vcdWriter, n *int) {
	fmt.Fprintf(v.out, "$scope module %s $end\n", s.name)
	for _, x := range s.vars {
		v.codes[x.id] = vcdCode(n)
		what := "wire 1"
		switch v.kinds[x.id] {
		case picture.LaneLevel:
			what = "integer 32"
		case picture.LaneMoments:
			what = "event 1"
		}
		if n := v.bits(x.id); n > 1 {
			what = fmt.Sprintf("reg %d", n)
		}
		fmt.Fprintf(v.out, "$var %s %s %s $end\n", what, v.codes[x.id], x.name)
	}
	for _, in := range s.scopes {
		in.declare(v, n)
	}
	v.out.WriteString("$upscope $end\n")
}

// vcdCode is the next identifier code, of the characters ! to ~. Longer ones that begin with $ could be taken for a
// keyword and are left out.
func vcdCode(n *int) string {
	for {
		var code []byte
		for k := *n; ; k = k/94 - 1 {
			code = append(code, byte('!'+k%94))
			if k < 94 {
				break
			}
		}
		slices.Reverse(code)
		*n++
		if len(code) == 1 || code[0] != '$' {
			return string(code)
		}
	}
}

// vcdName writes a name as an identifier: as it is if it is a simple one, else escaped, with a backslash in front.
// Blanks become _, and $ (which begins keywords) and all that is not printable ASCII the numbers
// of their bytes, such as %C3.
func vcdName(s string) string {
	if s == "" {
		return "_"
	}
	simple := true
	var b strings.Builder
	for i := range len(s) {
		c := s[i]
		switch {
		case c == ' ':
			if i > 0 && s[i-1] == ',' {
				continue // link (3, 0) is link_(3,0)
			}
			c = '_'
		case c < '!' || c > '~' || c == '$':
			fmt.Fprintf(&b, "%%%02X", c)
			simple = false
			continue
		}
		b.WriteByte(c)
		letter := c == '_' || 'a' <= c|0x20 && c|0x20 <= 'z'
		if !letter && (i == 0 || c < '0' || c > '9') {
			simple = false
		}
	}
	if simple {
		return b.String()
	}
	return `\` + b.String()
}
