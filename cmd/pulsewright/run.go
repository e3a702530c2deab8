package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"syscall"
	"time"

	"pulsewright/builtins/say"
	"pulsewright/builtins/whole"
	"pulsewright/lang"
	"pulsewright/lang/confine"

	"github.com/spf13/cobra"
)

// Exit codes beside 0.
const (
	exitFailed      = 1 // a script or a test failed
	exitUsage       = 2
	exitInterrupted = 130
)

// app is one run of the command: its streams and its flags.
type app struct {
	in       io.Reader
	out, err *stream
	getenv   func(string) string
	signals  *signals
	progress *progress
	raw      *rawMode // nil if standard input is no terminal

	color   choice
	ascii   bool
	width   lineWidth
	seed    int64
	workers workers
	library []string
	json    bool
	code    string
	stay    bool // -i
	resume  bool
	resumes func(in lineReader) (old string, err error) // what the shell does first; old is the journal that its own replaces, "": none
	portion portion
	draft   func() // keeps what is being typed, for a process that ends now

	args      []string
	untrusted untrusted
}

// failure is an error that has its exit code. Without a message everything has been said already.
type failure struct {
	code    int
	message string
}

func (f failure) Error() string { return f.message }

// usage is wrong usage, told in one line.
func usage(format string, args ...any) error {
	return failure{exitUsage, fmt.Sprintf(format, args...)}
}

// run is the whole command: arguments in, exit code out.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return newApp(stdin, stdout, stderr).run(args)
}

func (a *app) run(args []string) int {
	a.args = args
	a.signals.listen()
	root := a.root()
	root.SetArgs(args)
	code := a.finish(root.Execute())
	a.progress.end()
	if err := a.out.Flush(); err != nil && !errors.Is(err, syscall.EPIPE) && code == 0 {
		code = a.finish(failure{exitFailed, "writing: " + err.Error()})
	}
	a.err.Flush()
	return code
}

func newApp(stdin io.Reader, stdout, stderr io.Writer) *app {
	a := &app{in: stdin, out: newStream(stdout), err: newStream(stderr), getenv: os.Getenv, color: choice{colorModes, "auto"}, seed: 1, draft: func() {}}
	a.progress = &progress{w: stderr, now: time.Now, width: func() int { w, _ := size(stderr, a.width); return w }}
	a.out.before = a.progress.erase
	a.err.before = func() {
		a.progress.erase()
		a.out.Flush()
	}
	a.signals = newSignals(a.err, a.leave)
	if isTerminal(stdin) {
		a.raw = &rawMode{fd: int(stdin.(*os.File).Fd()), out: stdout}
	}
	return a
}

// leave ends the process at once, with the terminal as it was. It is for signals: nothing else may wait for us.
func (a *app) leave(code int) {
	if a.raw != nil {
		a.raw.leave()
	}
	done := make(chan struct{})
	go func() {
		a.draft()
		whole.Leave()
		a.progress.erase()
		a.out.Flush()
		a.err.Flush()
		close(done)
	}()
	select {
	case <-done:
	case <-time.After(200 * time.Millisecond):
	}
	os.Exit(code)
}

// finish says what is still to be said about an error and gives the exit code.
func (a *app) finish(err error) int {
	if err == nil {
		return 0
	}
	var f failure
	if !errors.As(err, &f) {
		f = failure{exitUsage, err.Error()}
	}
	if f.message != "" {
		a.says(f.message)
	}
	return f.code
}

// says writes a message to standard error, on a terminal broken at blanks.
func (a *app) says(message string) {
	const who = "pulsewright:"
	text := who + " " + say.Printable(message)
	if a.err.terminal {
		columns, _ := size(a.err.w, a.width)
		text = say.Fold(text, columns)
	}
	fmt.Fprintln(a.err, paint(newLook(a.colored(a.err)).Error, who)+strings.TrimPrefix(text, who))
}

// root is the command with its subcommands. It takes no operands itself, so that a mistyped command is not taken for a script.
func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "pulsewright",
		Short: "A shell and scripting language for pulses shorter than a tick",
		Long: `Pulsewright builds machines of parts that react one after another inside a single tick, fires them and shows what
happened step by step. Without a command it opens the shell; if standard input is no terminal, or is given as -, it runs
the script that comes from there.`,
		Example: `  pulsewright                                    the shell
  pulsewright run scripts/harbour.star berth=35  a script, with an argument for it
  pulsewright -c 'battery((0, 0)); run()'        one line of script
  pulsewright test                               every *_test.star below this folder`,
		Args:          a.rootArgs,
		RunE:          a.runRoot,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.SetOut(a.out)
	root.SetErr(a.err)
	root.SetIn(a.in)
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetFlagErrorFunc(flagError)
	every := root.PersistentFlags()
	every.SortFlags = false
	every.Var(&a.color, "color", "colour the output: auto, always or never")
	every.BoolVar(&a.ascii, "ascii", false, "use no letters and signs beyond ASCII")
	every.Var(&a.width, "width", "how many columns a line may have where the output is no terminal; 0: 80")
	every.Int64Var(&a.seed, "seed", 1, "`N` is the seed of all random numbers")
	every.Var(&a.workers, "workers", "how many trials run at once; 0: one for each processor")
	every.StringArrayVar(&a.library, "library", nil, "load finds own/… in the folder `DIR`; may be given again, the first that has a file wins")
	root.MarkPersistentFlagDirname("library")
	root.Flags().StringVarP(&a.code, "code", "c", "", "run `CODE` as a script, which shows what it prints and no other value: print(map())")
	root.Flags().BoolVar(&a.resume, "resume", false, "bring the last conversation of the shell back: its names and its bench")
	a.scriptFlags(root)
	complete(root, "color", colorModes...)

	root.AddCommand(a.runCommand(), a.gatherCommand(), a.testCommand(), a.lessonCommand(), a.scriptsCommand(), a.guideCommand(), a.versionCommand(), a.completionCommand(), a.manCommand())
	root.SetHelpCommand(a.helpCommand())
	return root
}

// scriptFlags are the flags of what runs a script.
func (a *app) scriptFlags(c *cobra.Command) {
	c.Flags().BoolVarP(&a.stay, "interactive", "i", false, "stay in the shell after the script, also after an error")
	c.Flags().BoolVar(&a.json, "json", false, "write events as JSON Lines, and nothing else, to standard output")
}

func (a *app) colored(s *stream) bool { return colored(a.color.value, a.getenv, s.terminal) }

// plainGlyphs: a terminal shows what its locale lets it show; what goes into a file or a pipe is the same everywhere.
func (a *app) plainGlyphs() bool { return a.ascii || a.out.terminal && asciiOnly(a.getenv) }

// config is what a session needs to know from here.
func (a *app) config() lang.Config {
	cfg := lang.Config{
		Out: a.out, Err: a.err,
		OutPalette: palette(a.colored(a.out)), ErrPalette: palette(a.colored(a.err)),
		ASCII: a.plainGlyphs(), PlainFiles: a.ascii,
		Width:   func() int { w, _ := size(a.out.w, a.width); return w },
		Seed:    a.seed,
		Workers: int(a.workers),
		Library: a.library,
		Own:     ownLibrary(a.getenv),
		JSON:    a.json,
		Portion: a.portion.Portion,
	}
	if in := a.untrusted.inside; in != nil {
		cfg.Untrusted, cfg.ReadOnly, cfg.Dir, cfg.Own, cfg.Memory = true, !in.Writes, in.Folder, "", in.Memory
	}
	if a.out.terminal {
		cfg.Page, cfg.Fold = a.page, true
	}
	cfg.FoldErr = a.err.terminal
	if a.err.terminal && a.getenv("TERM") != "dumb" {
		cfg.Progress = a.progress.update
	}
	return cfg
}

// talking is the configuration where somebody may be there to steer a film.
func (a *app) talking() lang.Config {
	cfg := a.config()
	if a.interactive() && a.raw != nil && !a.json && a.getenv("TERM") != "dumb" && a.untrusted.inside == nil { // one that is stopped could not give the screen back
		cfg.Player = a.play
	}
	return cfg
}

func (a *app) session() (*lang.Session, error) {
	s, err := lang.New(a.talking())
	if err != nil {
		return nil, failure{exitFailed, err.Error()}
	}
	return s, nil
}

// script runs something of a session as a script: an error is shown and becomes an exit code.
func (a *app) script(s *lang.Session, do func(context.Context) error) error {
	ctx, done := a.signals.command()
	err := do(ctx)
	done()
	a.progress.end()
	var wrong *lang.UsageError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &wrong):
		return usage("%s", wrong.Error())
	}
	s.Report(err)
	if lang.Interrupted(err) {
		return failure{code: exitInterrupted}
	}
	if a.untrusted.inside != nil && lang.TookTooMuch(err) {
		return failure{code: confine.TookTooMuch}
	}
	return failure{code: exitFailed}
}
