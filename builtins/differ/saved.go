package differ

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"pulsewright/builtins/wave"
	"pulsewright/engine"
)

// savedLog is a log that export wrote as JSON Lines: its events, and what it says of the parts that had any.
type savedLog struct {
	events []engine.Event
	at     []int32  // by the number of a part: where what is known of it stands; 0: it has no event
	parts  []who    // what is known of it
	texts  [][]byte // likewise: what the last line that was read with care says of it, kind to cell; its number may be given again
}

// mostPart is the highest number of a part that is believed: a table of so many is kept, however few of them have an event.
const mostPart = 1 << 24

// shortLine is how many bytes a short line has: a log of so many bytes has hardly more events.
const shortLine = 128

// line is one event as EventLines writes it.
type line struct {
	Bench int64    `json:"bench"`
	Event int64    `json:"event"`
	Cause int64    `json:"cause"`
	Tick  int64    `json:"tick"`
	Step  int32    `json:"step"`
	Turn  int32    `json:"turn"`
	Part  int64    `json:"part"`
	Kind  string   `json:"kind"`
	Name  string   `json:"name"`
	Cell  *[]int32 `json:"cell"`
	What  string   `json:"what"`
	Level int32    `json:"level"`
}

// readLog reads a whole log of about so many bytes. Of several benches it takes the last; events that were taken back are left out. stopped is asked now and then.
func readLog(r io.Reader, size int64, stopped func() error) (*savedLog, error) {
	in := bufio.NewReaderSize(r, 1<<20)
	head, err := in.ReadBytes('\n')
	if err != nil && err != io.EOF {
		return nil, err
	}
	var h struct {
		Format  string
		Version int
	}
	if json.Unmarshal(head, &h) != nil || h.Format != wave.EventFormat {
		return nil, fmt.Errorf("it is no saved log: its first line does not name the format %s; export(\"quay.json\") writes one", wave.EventFormat)
	}
	if h.Version != wave.EventVersion {
		return nil, fmt.Errorf("it is a log of version %d, want version %d", h.Version, wave.EventVersion)
	}
	l := &savedLog{events: make([]engine.Event, 0, size/shortLine), at: make([]int32, 1), parts: make([]who, 1), texts: make([][]byte, 1)}
	var text []byte
	bench := int64(0)
	for n := 2; err == nil; n++ {
		if n%(1<<14) == 0 {
			if err := stopped(); err != nil {
				return nil, err
			}
		}
		text, err = in.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) {
			return nil, fmt.Errorf("line %d is no event: it is too long", n)
		}
		if err != nil && err != io.EOF {
			return nil, err
		}
		if text = bytes.TrimSpace(text); len(text) == 0 {
			continue
		}
		if bench, err = l.add(text, bench, err); err != nil && err != io.EOF {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
	}
	known := make([]bool, len(l.parts))
	for _, e := range l.events {
		known[l.at[e.ID]] = true
	}
	for id, at := range l.at {
		if !known[at] { // its events were taken back
			l.at[id] = 0
		}
	}
	return l, nil
}

// add adds the event of a line. end is handed on.
func (l *savedLog) add(text []byte, bench int64, end error) (int64, error) {
	p := plain{text: text}
	b, event, e := p.event(l)
	if p.bad || b != bench {
		var x line
		if err := json.Unmarshal(text, &x); err != nil {
			return 0, errors.New("it is no event: it is cut off, or no JSON")
		}
		var w who
		var err error
		if e, w, err = x.event(); err != nil {
			return 0, err
		}
		if b, event = x.Bench, x.Event; b != bench {
			l.events, l.at, l.parts, l.texts = l.events[:0], l.at[:1], l.parts[:1], l.texts[:1]
		}
		if more := int(e.ID) + 1 - len(l.at); more > 0 {
			l.at = append(l.at, make([]int32, more)...)
		}
		if l.at[e.ID] == 0 {
			l.at[e.ID] = int32(len(l.parts))
			l.parts, l.texts = append(l.parts, who{}), append(l.texts, nil)
		}
		l.parts[l.at[e.ID]], l.texts[l.at[e.ID]] = w, about(text)
	}
	switch n := int64(len(l.events)); {
	case event < 1 || event > n+1:
		return 0, fmt.Errorf("event %d comes after event %d: the log holds a selection, want a whole one, exported without of, since and until", event, n)
	case event <= n:
		l.events = l.events[:event-1] // time was turned back
	}
	if int64(e.Cause) >= event {
		return 0, fmt.Errorf("event %d has event %d as its cause, which is no earlier one", event, e.Cause)
	}
	l.events = append(l.events, e)
	return b, end
}

// event checks what a line says.
func (x *line) event() (e engine.Event, w who, err error) {
	what, ok := engine.ParseWhat(x.What)
	if !ok {
		return e, w, fmt.Errorf("%q is no word of the log", x.What)
	}
	if x.Kind != "cell" {
		if w.kind, ok = engine.ParseKind(x.Kind); !ok {
			return e, w, fmt.Errorf("%q is no kind of part", x.Kind)
		}
	}
	if x.Part > mostPart {
		return e, w, fmt.Errorf("it is of part %d, and numbers up to %d can be read", x.Part, mostPart)
	}
	if x.Part < 1 || x.Cause < 0 || x.Cause > 1<<31 || x.Tick < 0 || x.Step < 0 || x.Turn < 0 {
		return e, w, errors.New("it is no event: one of its numbers cannot be")
	}
	w.name = x.Name
	switch {
	case x.Cell == nil:
		w.shelf = true
	case len(*x.Cell) != 3:
		return e, w, errors.New("its cell is none")
	default:
		w.cell = engine.Cell{X: (*x.Cell)[0], Y: (*x.Cell)[1], Z: (*x.Cell)[2]}
	}
	return engine.Event{Tick: x.Tick, Step: x.Step, Turn: x.Turn, ID: engine.ID(x.Part), Cause: engine.EventID(x.Cause), Arg: x.Level, What: what}, w, nil
}

// about is what a line says of its part, if it stands as EventLines writes it.
func about(text []byte) []byte {
	i, k := bytes.Index(text, []byte(`,"kind":`)), bytes.LastIndex(text, []byte(`,"what":"`))
	if i < 0 || k < i {
		return nil
	}
	return bytes.Clone(text[i:k])
}

// plain reads a line fast that stands exactly as EventLines writes it, and says of its part what an earlier one did; any other is bad, and
// read with care.
type plain struct {
	text []byte
	bad  bool
}

func (p *plain) event(l *savedLog) (bench, event int64, e engine.Event) {
	bench, event = p.number(`{"bench":`), p.number(`,"event":`)
	e.Cause = engine.EventID(p.number(`,"cause":`))
	e.Tick, e.Step, e.Turn = p.number(`,"tick":`), int32(p.number(`,"step":`)), int32(p.number(`,"turn":`))
	e.ID = engine.ID(p.number(`,"part":`))
	if p.bad || int(e.ID) >= len(l.at) || l.at[e.ID] == 0 {
		p.bad = true
		return
	}
	about := l.texts[l.at[e.ID]]
	if about == nil || !bytes.HasPrefix(p.text, about) {
		p.bad = true
		return
	}
	const what = `,"what":"`
	p.text = p.text[len(about):]
	end := -1
	if bytes.HasPrefix(p.text, []byte(what)) {
		p.text = p.text[len(what):]
		end = bytes.IndexByte(p.text, '"')
	}
	if end < 0 {
		p.bad = true
		return
	}
	word, ok := engine.ParseWhat(string(p.text[:end]))
	e.What, p.text, p.bad = word, p.text[end:], !ok
	e.Arg = int32(p.number(`","level":`))
	p.bad = p.bad || string(p.text) != "}"
	return
}

// number reads a key and the number after it.
func (p *plain) number(key string) int64 {
	if p.bad || len(p.text) <= len(key) || string(p.text[:len(key)]) != key {
		p.bad = true
		return 0
	}
	i := len(key)
	n := int64(0)
	for ; i < len(p.text) && '0' <= p.text[i] && p.text[i] <= '9'; i++ {
		n = 10*n + int64(p.text[i]-'0')
	}
	if i == len(key) || i > len(key)+9 { // long numbers are read with care
		p.bad = true
	}
	p.text = p.text[i:]
	return n
}
