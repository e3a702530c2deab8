package wave

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// EventLines writes events as JSON Lines, one a line, after a first line that names the format:
//
//	{"format":"pulsewright-events","version":1,"seed":0}
//
// The keys of an event, in this order:
//
//	bench   number of the bench, from 1; fresh() begins the next one
//	event   number of the event on its bench, from 1; after going back the numbers come again
//	cause   number of the event that caused it; 0 for a stimulus
//	tick, step, turn
//	part    number of the part, or of the bare cell
//	kind    "wire", "link", …; "cell" for a bare cell
//	name    "" if it has none
//	cell    [x, y, z]; null on the shelf
//	what    the word of the log
//	level   the new level, for the word level; else 0
//
// The version changes when a key does.
type EventLines struct {
	bench *engine.Bench
	count int
	parts [][]byte // by part: the keys part to cell, written once
}

// The name and version of the format.
const (
	EventFormat  = "pulsewright-events"
	EventVersion = 1
)

// Head appends the first line.
func (l *EventLines) Head(buf []byte, seed int64) []byte {
	buf = append(buf, `{"format":"`+EventFormat+`","version":`...)
	buf = strconv.AppendInt(buf, EventVersion, 10)
	buf = append(buf, `,"seed":`...)
	buf = strconv.AppendInt(buf, seed, 10)
	return append(buf, "}\n"...)
}

// On says which bench the events that follow are of. Numbers of parts may come again on another one, and after going back.
func (l *EventLines) On(b *engine.Bench) {
	if b != l.bench {
		l.bench = b
		l.count++
	}
	l.parts = l.parts[:0]
}

// Event appends the line of an event.
func (l *EventLines) Event(buf []byte, id engine.EventID, e engine.Event) []byte {
	number := func(key string, n int64) {
		buf = append(buf, key...)
		buf = strconv.AppendInt(buf, n, 10)
	}
	number(`{"bench":`, int64(l.count))
	number(`,"event":`, int64(id))
	number(`,"cause":`, int64(e.Cause))
	number(`,"tick":`, e.Tick)
	number(`,"step":`, int64(e.Step))
	number(`,"turn":`, int64(e.Turn))
	buf = append(buf, l.part(e.ID)...)
	buf = append(buf, `,"what":"`...)
	buf = append(buf, l.bench.Word(e)...)
	buf = append(buf, '"')
	level := int64(0) // what else an event has in its argument is for its word
	if e.What == engine.Level {
		level = int64(e.Arg)
	}
	number(`,"level":`, level)
	return append(buf, "}\n"...)
}

func (l *EventLines) part(id engine.ID) []byte {
	for int(id) >= len(l.parts) {
		l.parts = append(l.parts, nil)
	}
	if l.parts[id] == nil {
		name := quoted(l.bench.Name(id))
		b := strconv.AppendInt([]byte(`,"part":`), int64(id), 10)
		b = append(b, `,"kind":"`+l.bench.KindName(id)+`","name":`...)
		b = append(b, name...)
		b = append(b, `,"cell":`...)
		if cell, ok := l.bench.CellOf(id); !ok {
			b = append(b, "null"...)
		} else {
			b = append(b, '[')
			b = strconv.AppendInt(b, int64(cell.X), 10)
			b = append(b, ',')
			b = strconv.AppendInt(b, int64(cell.Y), 10)
			b = append(b, ',')
			b = strconv.AppendInt(b, int64(cell.Z), 10)
			b = append(b, ']')
		}
		l.parts[id] = b
	}
	return l.parts[id]
}

// quoted is a text as JSON has it, with what a terminal would obey written by its number.
func quoted(text string) []byte {
	all, _ := json.Marshal(text)
	return []byte(say.Printable(strings.ReplaceAll(string(all), "\x7f", `\u007f`)))
}

// chosenEvents goes through the events first to last of the parts wanted (nil: of all), until visit gives an error.
func chosenEvents(e *builtins.Env, want map[engine.ID]bool, first, last engine.EventID, visit func(engine.EventID, engine.Event) error) error {
	for id, ev := range e.Bench.Events(first) {
		if id > last {
			break
		}
		if id%(1<<14) == 0 {
			if err := e.Stopped(); err != nil {
				return err
			}
		}
		if want == nil || want[ev.ID] {
			if err := visit(id, ev); err != nil {
				return err
			}
		}
	}
	return nil
}

func writeJSON(w io.Writer, e *builtins.Env, want map[engine.ID]bool, first, last engine.EventID) error {
	out := bufio.NewWriterSize(w, 1<<16)
	l := new(EventLines)
	l.On(e.Bench)
	out.Write(l.Head(nil, e.Seed))
	if err := chosenEvents(e, want, first, last, func(id engine.EventID, ev engine.Event) error {
		_, err := out.Write(l.Event(out.AvailableBuffer(), id, ev))
		return err
	}); err != nil {
		return err
	}
	return out.Flush()
}

// csvHead are the columns of a table of events: those of the JSON Lines but bench, with units in the names. Cells are empty on
// the shelf; level is empty for every word but level.
// A name that a spreadsheet would compute has a ' in front.
var csvHead = []string{"event", "cause", "time_ticks", "time_steps", "time_turns", "part", "kind", "name", "x_cells", "y_cells", "z_cells", "what", "level"}

// writeCSV writes a table as RFC 4180 has it.
func writeCSV(w io.Writer, e *builtins.Env, want map[engine.ID]bool, first, last engine.EventID) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write(csvHead); err != nil {
		return err
	}
	b := e.Bench
	row := make([]string, len(csvHead))
	n := func(n int64) string { return strconv.FormatInt(n, 10) }
	if err := chosenEvents(e, want, first, last, func(id engine.EventID, ev engine.Event) error {
		row = append(row[:0], n(int64(id)), n(int64(ev.Cause)), n(ev.Tick), n(int64(ev.Step)), n(int64(ev.Turn)), n(int64(ev.ID)),
			b.KindName(ev.ID), builtins.Defused(b.Name(ev.ID)))
		if cell, onLattice := b.CellOf(ev.ID); onLattice {
			row = append(row, n(int64(cell.X)), n(int64(cell.Y)), n(int64(cell.Z)))
		} else {
			row = append(row, "", "", "")
		}
		level := ""
		if ev.What == engine.Level {
			level = n(int64(ev.Arg))
		}
		return out.Write(append(row, b.Word(ev), level))
	}); err != nil {
		return err
	}
	out.Flush()
	return out.Error()
}
