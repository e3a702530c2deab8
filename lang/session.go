// Package lang runs pulsewright's language: sessions that behave like files, scripts, what they load, errors with their place,
// and the step log. It knows no terminal; the command gives it writers, a palette and a line reader. It may use builtins,
// bundle, help, hold, keep, lex, say, scripts, source, steplog, words and the engine.
package lang

import (
	"context"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	_ "pulsewright/builtins/words" // all words in the table
	"pulsewright/engine"
	"pulsewright/lang/steplog"
)

// Config says where a session writes and how. The zero value is silent, plain and works in the present folder.
type Config struct {
	Out, Err               io.Writer // what was asked for; errors and warnings. nil: nobody listens
	OutPalette, ErrPalette steplog.Palette
	ASCII                  bool
	PlainFiles             bool       // files that are exported hold ASCII alone, too
	Width                  func() int // columns of Out; nil: 80
	Fold                   bool       // Out is a terminal: what is printed is broken at blanks, not in the middle of words
	FoldErr                bool       // the same of Err, for what errors say
	Seed                   int64
	Workers                int      // how many trials may run at once; 0: as many as there are processors
	JSON                   bool     // Out carries events as JSON Lines and nothing else; the rest goes to Err
	Dir                    string   // the working folder; "": the present one
	Library                []string // folders of scripts of the user's own, in which load looks for "own/…", in this order
	Own                    string   // the usual such folder, looked into last; it need not be there. "": none
	Memory                 uint64   // bytes of live heap at which a command is stopped; 0: 2 GiB
	Untrusted              bool     // scripts are a stranger's: they load files *.star only, and read tables in the working folder only
	ReadOnly               bool     // no files are written

	Player   func(ctx context.Context, f builtins.Film, pace float64) error // shows a film on a terminal; nil: there is none
	Page     func(text string)                                              // shows help and tables; nil: they are written to Out
	Progress func(what string, done, total int64)                           // state of a long job; nil: nobody looks
	Portion  builtins.Portion                                               // which part of each survey to do; zero: all
	Words    starlark.StringDict                                            // further words that scripts find, such as those of lessons
}

// Session is one conversation, or one script: a bench, names, and what was done so far.
// One goroutine at a time.
type Session struct {
	cfg     Config
	env     *builtins.Env
	names   *names
	root    *os.Root // the working folder
	own     []ownFolder
	loader  *loader
	sources *sources
	log     recorder
	args    arguments
	history history
	journal journal
	lines   int    // of the conversation so far
	script  []part // what worked, for save
	origin  origin // the script that was run
	doing   string // its text, or that of the one from elsewhere
	chunk   *chunk // the command being run
}

// recorder is what shows events as time passes: the step log, or JSON Lines.
type recorder interface {
	Follow(b *engine.Bench) // shows what is new; notices that b is another bench, or has gone back
	Rest(b *engine.Bench)   // the same, at the end of a command
	Skip(b *engine.Bench)   // goes on after what there is, without showing it
}

// New makes a session with a fresh bench. It fails if the working folder cannot be opened.
func New(cfg Config) (*Session, error) {
	if cfg.Out == nil {
		cfg.Out = io.Discard
	}
	if cfg.Err == nil {
		cfg.Err = io.Discard
	}
	if cfg.Dir == "" {
		cfg.Dir = "."
	}
	if cfg.Memory == 0 {
		cfg.Memory = 2 << 30
	}
	root, err := os.OpenRoot(cfg.Dir)
	if err != nil {
		return nil, fmt.Errorf("the working folder cannot be opened: %w", err)
	}
	own, err := openOwn(cfg.Library, cfg.Own)
	if err != nil {
		root.Close()
		return nil, err
	}
	s := &Session{cfg: cfg, root: root, own: own, sources: newSources()}
	s.env = &builtins.Env{
		Bench: engine.New(engine.DefaultRules()),
		Out:   cfg.Out,
		ASCII: cfg.ASCII, PlainFiles: cfg.PlainFiles,
		Paint:    cfg.OutPalette.Styles(),
		Moved:    s.moved,
		Host:     host{s},
		Seed:     cfg.Seed,
		Workers:  cfg.Workers,
		History:  true,
		Progress: cfg.Progress,
		Player:   cfg.Player,
		Source:   s.sources.text,
		Remember: func(file, src string) { s.sources.add(text{name: file, src: src, line: 1}) },
		Library:  s.isLibrary,
		ReadFile: s.readFile,
		Try:      s.try,
		Portion:  cfg.Portion,
		Again:    s.again,
		Limit:    limitDepth,
		Dir:      root,
	}
	if cfg.ReadOnly {
		s.env.Dir = nil
	}
	s.env.Bench.KeepHistory(true)
	if cfg.JSON {
		s.env.Out, s.env.Paint = cfg.Err, cfg.ErrPalette.Styles()
		s.log = steplog.NewJSON(cfg.Out, cfg.Seed)
	} else {
		s.log = steplog.New(cfg.Out, cfg.OutPalette, cfg.ASCII, func() *builtins.LogOptions { return s.env.Log })
	}
	s.names = newNames(s.predeclared())
	s.env.Own = s.names.told
	s.loader = newLoader(s)
	return s, nil
}

// Close lets go of the working folder and those of one's own.
func (s *Session) Close() error {
	closeOwn(s.own)
	return s.root.Close()
}

// predeclared are the names a script finds: the language's own, the builtins, and arg.
func (s *Session) predeclared() starlark.StringDict {
	d := starlark.StringDict{}
	for name, v := range starlark.Universe {
		d[name] = v
	}
	guard(d)
	if print, ok := d["print"].(*starlark.Builtin); ok && s.cfg.Fold {
		d["print"] = s.fit(print)
	}
	for name, v := range builtins.Predeclared() {
		d[name] = v
	}
	if b, ok := d["help"].(*starlark.Builtin); ok {
		d["help"] = starlark.NewBuiltin("help", s.pagedHelp(b))
	}
	d[argEntry.Name] = starlark.NewBuiltin(argEntry.Name, s.args.call)
	for name, v := range s.cfg.Words {
		d[name] = v
	}
	return d
}

// Entries lists every word of the language, sorted by name: the builtins and arg.
func Entries() []builtins.Entry {
	es := append(builtins.Entries(), argEntry)
	slices.SortFunc(es, func(a, b builtins.Entry) int { return strings.Compare(a.Name, b.Name) })
	return es
}

// entry finds a word of the table.
func entry(name string) (builtins.Entry, bool) {
	if name == argEntry.Name {
		return argEntry, true
	}
	return builtins.Lookup(name)
}

// moved is called by the builtins when time has passed.
func (s *Session) moved() {
	s.log.Follow(s.env.Bench)
}

func (s *Session) width() int {
	if s.cfg.Width != nil {
		if w := s.cfg.Width(); w > 0 {
			return w
		}
	}
	return 80
}

// Now is the instant of the last turn.
func (s *Session) Now() engine.Instant { return s.env.Bench.Now() }
