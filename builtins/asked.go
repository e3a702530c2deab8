package builtins

import (
	"strings"

	"pulsewright/engine"
)

// What the functions of a design read of the world is traced, one thing at a time. Whoever lets one run stand for others,
// or copies what was built, must know: what a function asked for may be otherwise where nobody looked.
//
// Parts, probes, events, frames and rules that a trial gives out lead to its inquiry, and note there what they are asked.
// Time is not traced: it is in the log, and where logs are equal so is it.

// Asked is a set of things that somebody wanted to know.
type Asked uint16

const (
	AskedOrder  Asked = 1 << iota // the neighbour order
	AskedNews                     // and so on: the rules
	AskedReads                    //
	AskedTravel                   //
	AskedReach                    //
	askedRun                      //
	AskedFall                     // how a pulse falls
	AskedPlace                    // where on the bench something lies, or which way it faces
	Fired                         // not asked, but a pulse was fired that falls as the setting says

	AskedRules = AskedPlace - 1
	askedAll   = AskedRules | AskedPlace
)

var askedNames = []string{"order", "news", "reads", "travel", "reach", "run", "how a pulse falls", "where on the bench it lies"}

// String names what was asked for.
func (a Asked) String() string {
	var names []string
	for i, n := range askedNames {
		if a>>i&1 != 0 {
			names = append(names, n)
		}
	}
	return strings.Join(names, ", ")
}

// Inquiry is what the functions of a trial have asked since it was opened. The methods of a nil inquiry do nothing: outside
// of trials nobody keeps one.
type Inquiry struct {
	Asked  Asked
	Word   string // the first word that looks at all there is; "": none was called
	looked bool   // at what the bench has done or how it stands
	cells  bool   // named a cell of the bench by itself, not by way of the frame
}

// Open begins with another function.
func (q *Inquiry) Open() { *q = Inquiry{} }

// Close gives what was asked. Who looks at the bench by its own cells finds there what depends on how the frame lies.
func (q *Inquiry) Close() Asked {
	if q.looked && q.cells {
		q.Asked |= AskedPlace
	}
	return q.Asked
}

// All reports whether a word was called that looks at all there is.
func (q *Inquiry) All() bool { return q.Asked&askedAll == askedAll }

// Want notes that something was asked for.
func (q *Inquiry) Want(a Asked) {
	if q != nil {
		q.Asked |= a
	}
}

// cell notes that a cell of the bench was named.
func (q *Inquiry) cell() {
	if q != nil {
		q.cells = true
	}
}

// Look notes that somebody looked at what the bench did, or how it stands.
func (q *Inquiry) Look() {
	if q != nil {
		q.looked = true
	}
}

// InquiryOf is that of the trial a bench belongs to; nil if there is none.
func InquiryOf(b *engine.Bench) *Inquiry {
	q, _ := b.Aside.(*Inquiry)
	return q
}

// blind are the words that tell a script nothing of the world but what they note themselves.
func (e *Entry) blind() bool {
	switch e.Topic {
	case "placing", "frames", "rules", "acting", "time", "tests", "text and numbers":
		return true
	}
	switch e.Name {
	case "probe", "events", "state", "parts", "record", "log", "design":
		return true
	}
	return false
}

// everything notes that a word which looks at all there is was called.
func (q *Inquiry) everything(word string) {
	if q.Word == "" {
		q.Word = word
	}
	q.Want(askedAll)
	q.Look()
}
