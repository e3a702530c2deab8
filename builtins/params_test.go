package builtins

import (
	"os"
	"sync"
	"testing"
)

// parametersRead is, for each word, which of its parameters its calls have read, over all tests of this package.
var parametersRead = struct {
	sync.Mutex
	of map[string]uint32
}{of: map[string]uint32{}}

// TestMain notes what the words read, and in the end fails if a word has a parameter that none of its calls has ever read:
// it would be taken and have no effect. A name that an entry lacks is a panic in the call that reads it.
func TestMain(m *testing.M) {
	audit = func(e *Entry, given, read uint32) {
		for i, p := range e.Params {
			if (given&^read)>>i&1 != 0 && !p.Variadic {
				panic("the word " + e.Name + " is given its parameter " + p.Name + " and does not read it")
			}
		}
		parametersRead.Lock()
		parametersRead.of[e.Name] |= read
		parametersRead.Unlock()
	}
	code := m.Run()
	if code == 0 && len(parametersRead.of) == len(entries()) { // all words were called: not a part of the tests
		for _, e := range entries() {
			for i, p := range e.Params {
				if parametersRead.of[e.Name]>>i&1 == 0 && !p.Variadic {
					println("the word", e.Name, "never reads its parameter", p.Name)
					code = 1
				}
			}
		}
	}
	os.Exit(code)
}

// TestEntryChecks: entries that contradict themselves, and words that read what their entry lacks, panic.
func TestEntryChecks(t *testing.T) {
	panics := func(what string, f func()) {
		t.Helper()
		defer func() {
			if recover() == nil {
				t.Errorf("%s does not panic", what)
			}
		}()
		f()
	}
	panics("a name given twice", func() { (&Entry{Name: "moor", Params: []Param{{Name: "at"}, {Name: "at"}}}).check() })
	panics("no name", func() { (&Entry{Name: "moor", Params: []Param{{}}}).check() })
	panics("reading a parameter that is not there", func() {
		(&Call{entry: &Entry{Name: "moor", Params: []Param{{Name: "at"}}}}).Int("size", 0, 0)
	})
}
