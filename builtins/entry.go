package builtins

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"go.starlark.net/lib/math"
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"

	"pulsewright/engine"
)

// Entry describes one word. Everything that speaks of words reads this table.
type Entry struct {
	Name     string // "delay"; a method of a frame: "frame.cell"
	Topic    string
	Sentence string // what it does, with units
	Params   []Param
	Returns  string // what it gives; "" for None
	Example  string // a script on an empty bench, run by the tests
	See      []string

	Forms      []string // ways to call it, if one list of parameters does not tell
	Call       func(*Call) (starlark.Value, error)
	shape      func(*Call) // moves positional arguments of a word with several forms to their parameters
	method     bool        // exists as a method of a frame only
	Framed     bool        // exists as a method of a frame, too
	Places     engine.Kind // the kind of part it places
	told       *OwnKind    // if that is a script's own
	positional int         // how many parameters may be given by position
	attrs      []string    // of a placing word: the attributes of what it places
	builtin    *starlark.Builtin
}

// Param is one parameter of a word.
type Param struct {
	Name     string
	Type     string // what to give, in words: "cell", "number", "string", "part"
	Unit     string // "ticks", "steps", "cells", "turns"
	Default  string // as a script writes it; "" of an optional one: not needed in every form of the word
	Doc      string
	Allowed  []string // the strings it takes
	Optional bool
	Variadic bool // takes all further arguments by position; or, with Keyword, by name
	Keyword  bool // by name only

	Now func(e *Env) string         // what it is at present if it is not given, where another word can change that
	set func(c *Call, param string) // placing words: reads the argument into c.part
	of  func(p Part) starlark.Value // placing words: what would have to be given to place such a part again, in the state it is in
}

// words lists the words of this package: one function a file. To add a word, write its entry there. Those of the rooms
// below this package are added by Join.
func words() []Entry {
	return slices.Concat(placeWords(), slugWords(), toldWords(), rowWords(), cordWords(), frameWords(), ruleWords(), actWords(), timeWords(),
		logWords(), eventWords(), partsWords(), expectWords(), textWords(), tableWords(),
		fallWords(), randomWords())
}

// rooms are the words of other packages.
var rooms [][]Entry

// Join adds words to the table, before it is first used. Package words does that, and nobody else.
func Join(words ...[]Entry) { rooms = append(rooms, words...) }

// topics in the order in which help lists them.
var topics = []string{"placing", "frames", "rules", "acting", "time", "seeing", "experiments", "invention", "tests", "text and numbers", "keeping", "help"}

// GlossaryTopic is the topic that lists all terms.
const GlossaryTopic = "glossary"

// WordTopics lists the topics that words belong to, in the order of help.
func WordTopics() []string { return slices.Clone(topics) }

// Topics lists the topics of help, in its order.
func Topics() []string { return append(slices.Clone(topics), GlossaryTopic) }

// table is the finished table. It is made once, on first use, and never changes.
var table struct {
	once    sync.Once
	entries []*Entry // sorted by name
	byName  map[string]*Entry
	methods []string // of frames
}

func entries() []*Entry {
	table.once.Do(func() {
		table.byName = map[string]*Entry{}
		for _, w := range slices.Concat(append([][]Entry{words()}, rooms...)...) {
			e := &w
			e.finish()
			if e.Places != engine.Bare {
				e.attrs = e.partAttrs()
			}
			table.entries = append(table.entries, e)
			table.byName[e.Name] = e
			if e.Framed || e.method {
				table.methods = append(table.methods, strings.TrimPrefix(e.Name, "frame."))
			}
		}
		slices.SortFunc(table.entries, func(a, b *Entry) int { return strings.Compare(a.Name, b.Name) })
		slices.Sort(table.methods)
	})
	return table.entries
}

// finish works out what follows from an entry, and makes it callable.
func (e *Entry) finish() {
	for e.positional < len(e.Params) && !e.Params[e.positional].Keyword {
		e.positional++
	}
	e.check()
	e.builtin = starlark.NewBuiltin(strings.TrimPrefix(e.Name, "frame."), e.run)
}

// ErrNoBench is that of a word where there is no bench: in a function that may only work out a value.
var ErrNoBench = errors.New("there is no bench here")

// run is the body of every builtin: find the world, unpack, do, and put the call away for the next one.
func (e *Entry) run(thread *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	env := Of(thread)
	if env == nil || env.Bench == nil {
		return nil, fmt.Errorf("%s: %w", b.Name(), ErrNoBench)
	}
	var c *Call
	if n := len(env.calls); n > 0 {
		c, env.calls = env.calls[n-1], env.calls[:n-1]
	} else {
		c = new(Call)
	}
	c.Env, c.Thread, c.entry = env, thread, e
	c.Frame, _ = b.Receiver().(*Frame)
	var v starlark.Value
	if env.Asks != nil {
		env.Asks(e.Name)
	}
	if c.bind(args, kwargs); c.Err == nil {
		c.checkDepth(args, kwargs)
	}
	if c.Err == nil {
		if env.Trial && !e.blind() {
			env.Inquiry.everything(e.Name)
		}
		var err error
		if v, err = e.Call(c); c.Err == nil {
			c.Err = err
		}
	}
	err := c.Err
	if audit != nil && err == nil {
		var given uint32
		for i, v := range c.vals {
			if v != nil {
				given |= 1 << i
			}
		}
		audit(e, given, c.read)
	}
	*c = Call{}
	env.calls = append(env.calls, c)
	if err != nil {
		return nil, err
	}
	if v == nil {
		v = starlark.None
	}
	return v, nil
}

// audit is told of every call that worked, which parameters it was given and which it has read. Tests use it; it is nil otherwise.
var audit func(e *Entry, given, read uint32)

// check panics if an entry contradicts itself: a mistake in the table is found as soon as anything uses it.
func (e *Entry) check() {
	seen := map[string]bool{}
	for i, p := range e.Params {
		switch {
		case p.Name == "" || seen[p.Name]:
			panic("builtins: the word " + e.Name + " has a parameter without a name of its own: " + p.Name)
		case i >= MaxParams:
			panic("builtins: the word " + e.Name + " has too many parameters")
		}
		seen[p.Name] = true
	}
}

// Entries lists the words, sorted by name.
func Entries() []Entry {
	es := make([]Entry, len(entries()))
	for i, e := range entries() {
		es[i] = *e
	}
	return es
}

// Lookup finds a word, or a method of a frame as "frame.cell".
func Lookup(name string) (Entry, bool) {
	entries()
	e, ok := table.byName[name]
	if !ok {
		// A frame's placing words are the words of the same name.
		if e, ok = table.byName[strings.TrimPrefix(name, "frame.")]; !ok || !e.Framed {
			return Entry{}, false
		}
	}
	return *e, true
}

// Predeclared returns every word and module, for the globals of a script. The map is the caller's; the values in it
// are shared and hold no state.
func Predeclared() starlark.StringDict {
	d := starlark.StringDict{
		"json":   JSON,
		"math":   math.Module,
		"struct": starlark.NewBuiltin("struct", starlarkstruct.Make),
	}
	for _, e := range entries() {
		if !e.method {
			d[e.Name] = e.builtin
		}
	}
	return d
}

// Usage is the way to call the word, as a user would type it.
func (e Entry) Usage() string {
	if len(e.Forms) > 0 {
		return strings.Join(e.Forms, "  or  ")
	}
	var ps []string
	for _, p := range e.Params {
		ps = append(ps, p.usage())
	}
	return e.Name + "(" + strings.Join(ps, ", ") + ")"
}

func (p Param) usage() string {
	switch {
	case p.Variadic && p.Keyword:
		return p.Name + "=..."
	case p.Variadic:
		return p.Name + ", ..."
	case p.Default != "":
		return p.Name + "=" + p.Default
	}
	return p.Name
}

// Markdown is the guide's tables of words, one for each topic.
func Markdown() string {
	var s strings.Builder
	cell := strings.NewReplacer("|", "\\|", "\n", " ")
	for _, t := range topics {
		s.WriteString("## " + t + "\n\n| word | what it does |\n|---|---|\n")
		for _, e := range entries() {
			if e.Topic == t {
				fmt.Fprintf(&s, "| `%s` | %s |\n", cell.Replace(e.Usage()), cell.Replace(e.Sentence))
			}
		}
		s.WriteString("\n")
	}
	return s.String()
}
