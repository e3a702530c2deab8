// Package builtins is what a script can say: the words that place, act, run and look, and the values they give.
//
// One table (Entries) describes every word; unpacking of arguments, help, completion, suggestions and the guide are made from
// it. A word finds the world it acts on in its Starlark thread (Env), so that a session and every trial beside it use the same
// words at once. It may use hold, say, whole and the engine.
package builtins

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Env is the world one Starlark thread acts on. Bench is needed; the zero value of the rest will do.
// An Env belongs to one goroutine at a time.
type Env struct {
	Notes
	Bench      *engine.Bench
	Ctx        context.Context // ends a run; nil: nothing does
	Out        io.Writer       // what was asked for; nil: nobody listens
	Width      int             // columns of Out; 0: 80
	ASCII      bool            // no glyphs outside ASCII
	PlainFiles bool            // none in files either
	Paint      say.Paint       // colours for Out
	Moved      func()          // called when time has passed, and between the slices of a long run; may be nil
	Host       Host            // what only a session can do; nil in a trial
	Seed       int64           // seed of all random numbers
	Workers    int             // how many trials may run at once; 0: as many as there are processors
	History    bool            // benches made by fresh keep the history that back needs
	Dir        *os.Root        // where files may be written; nil: nowhere

	Progress func(what string, done, total int64)             // told how far a long job is; from any goroutine; may be nil
	Source   func(file string) (text string, ok bool)         // the text of a script that has run; nil: not known
	Remember func(file, text string)                          // keeps the text of a script that a word has written and run, for Source; may be nil
	Library  func(file string) bool                           // a file that load finds in every session; nil: there is none
	ReadFile func(path string) (text, file string, err error) // reads a file that may be read, such as "./quay.csv", and says where it lies; nil: none may be
	Portion  Portion                                          // which part of each survey to do; zero: all
	Again    func() Again                                     // how what is being done can be done again; nil: not known
	Limit    func(*starlark.Thread)                           // puts the session's limits on a thread of a trial; may be nil
	Own      func() starlark.StringDict                       // the functions and kinds of the script's own, by the names it has given them; nil: none

	// Player shows a film on a terminal, at so many turns a second to begin with; nil: there is none.
	Player func(ctx context.Context, f Film, pace float64) error

	// Try runs a script in a world like that of a fresh session, in which it can write no files and nobody sees what it prints. It may be
	// called from any goroutine. nil: no script can be tried.
	Try func(ctx context.Context, script string) error

	Trial     bool                   // of a trial: no other trials run beside it
	Asks      func(word string)      // told of every word that is used; may be nil
	Inquiry   Inquiry                // of a trial: what its functions ask
	Kept      starlark.Value         // the table of the last sweep, or the report of the last search or shrink; nil: there was none
	calls     []*Call                // idle ones
	Rereading bool                   // what is run was run before: files are not written again
	Wrote     map[string]fs.FileInfo // the files of this session, as they were when it had written them
}

// Film is what happened as pictures to be walked through, from the one before the first turn to the one after the last.
type Film interface {
	Len() int
	At(n int) engine.Instant
	Marked(n int) bool                             // it stops here by itself
	Next(part string, n int) (int, error)          // the picture after n at which a part changes
	Screen(n, columns, rows int) ([]string, error) // the picture and its story, in so many lines at most
}

// Portion says which part of each survey to do: those units whose number leaves Index-1 when divided by Count.
type Portion struct {
	Index int `json:"index"`
	Count int `json:"count"`
}

// Again is how what a session does can be done again, byte for byte. A session tells it (Env.Again).
type Again struct {
	Command string `json:"command,omitempty"` // what to run; "" if it cannot be done again
	Where   string `json:"where,omitempty"`   // where, or with what, in words
	Script  string `json:"script,omitempty"`  // what the command is given as standard input; "" if it names a file
	Why     string `json:"why,omitempty"`     // why it cannot be done again
}

// Host is what only a session can do. Each returns what was done, in words for the user.
type Host interface {
	Undo() (string, error)
	Redo() (string, error)
	Save(path string, over Over, sketch bool) (string, error) // sketch: the bench as it stands instead of the commands
	Bundle(path string, over Over) (string, error)            // the script with all it loads
}

const envKey = "pulsewright.env"

// Attach makes e the world that builtins called on t act on.
func (e *Env) Attach(t *starlark.Thread) { t.SetLocal(envKey, e) }

// Of returns the world of a thread, nil if none is attached.
func Of(t *starlark.Thread) *Env {
	e, _ := t.Local(envKey).(*Env)
	return e
}

func (e *Env) Context() context.Context {
	if e.Ctx == nil {
		return context.Background()
	}
	return e.Ctx
}

// Stopped returns the context's error once it has ended. Builtins that work long look every few thousand rounds.
func (e *Env) Stopped() error {
	if e.Ctx == nil || e.Ctx.Err() == nil {
		return nil
	}
	return &engine.Stopped{At: e.Bench.Now(), Err: e.Ctx.Err()}
}

// StoppedAt is Stopped for loops whose rounds are short: round n of them looks, or does not.
func (e *Env) StoppedAt(n int) error {
	if n%4096 != 4095 {
		return nil
	}
	return e.Stopped()
}

// Before keeps the bench as it is before a word edits n parts of it, all of them or none. If the word fails, restoring that is quick, however
// much was done. Nil where doing so little back one by one is as quick, and keeping all of the bench would cost more than the word itself.
func (e *Env) Before(n int) *engine.Snapshot {
	if n < 4096 || n < e.Bench.Len()/8 {
		return nil
	}
	return e.Bench.Snapshot()
}

// mostDeep is how many worlds may lie around one. Each is on a thread of its own, where the limit on calls that call one another begins anew.
const mostDeep = 20

type deep struct{}

// Inside is the context of a world that is made inside this one for a function of the script. It goes along with whatever is done there.
func (e *Env) Inside() context.Context {
	n, _ := e.Context().Value(deep{}).(int)
	return context.WithValue(e.Context(), deep{}, n+1)
}

// ErrDeep is the error of a world that lies inside too many others, such as a sweep in a sweep, and so on.
var ErrDeep = fmt.Errorf("experiments lie more than %d deep in one another, want at most %d", mostDeep, mostDeep)

// TooDeep is ErrDeep if this world lies inside too many others.
func (e *Env) TooDeep() error {
	if n, _ := e.Context().Value(deep{}).(int); n > mostDeep {
		return ErrDeep
	}
	return nil
}

func (e *Env) moved() {
	if e.Moved != nil {
		e.Moved()
	}
}

// Tell tells how far a long job is; done == total ends it.
func (e *Env) Tell(what string, done, total int64) {
	if e.Progress != nil {
		e.Progress(what, done, total)
	}
}

// remark prints a line about time, where a step log is kept.
func (e *Env) remark(format string, args ...any) {
	if e.Moved != nil && (e.Log == nil || !e.Log.Off) {
		e.Print(fmt.Sprintf(format, args...))
	}
}

// passed is called at the end of a word that let time pass, or turned it back.
func (e *Env) passed() {
	e.moved()
	e.ShowWatch()
}

// ShowWatch prints the watch list.
func (e *Env) ShowWatch() {
	if e.Watch != nil && e.Out != nil {
		e.Watch.Show(e)
	}
}

func (e *Env) Columns() int {
	if e.Width <= 0 {
		return 80
	}
	return e.Width
}

// Wrap breaks text at blanks to the width of the screen, each line indented.
func (e *Env) Wrap(text, indent string) string {
	return say.Fill(text, indent, indent, max(e.Columns(), len(indent)+20))
}

func (e *Env) Print(text string) {
	if e.Out != nil {
		fmt.Fprintln(e.Out, text)
	}
}

// AtOnce is how many workers a word may use: one in a trial, which runs beside others.
func (e *Env) AtOnce() int {
	switch {
	case e.Trial:
		return 1
	case e.Workers > 0:
		return e.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// Glyph is the sign as this world's terminal can show it.
func (e *Env) Glyph(g say.Glyph) rune { return g.Sign(e.ASCII) }

// Label is a text for a picture in this world's terminal, cut to so many columns.
func (e *Env) Label(s string, width int) string { return say.Fitted(s, width, e.ASCII) }
