package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"pulsewright/lang"

	"github.com/spf13/cobra"
)

func (a *app) rootArgs(c *cobra.Command, args []string) error {
	if len(args) == 0 || len(args) == 1 && args[0] == "-" {
		return nil
	}
	word := args[0]
	if _, err := os.Stat(word); err == nil || strings.HasSuffix(word, ".star") {
		return usage("unknown command %q; did you mean pulsewright run %s?", word, word)
	}
	var names []string
	for _, sub := range c.Commands() {
		names = append(names, sub.Name())
	}
	hint := meant(word, names, "")
	if hint == "" {
		hint = see(c)
	}
	return usage("unknown command %q%s", word, hint)
}

// runRoot is pulsewright without a command: a script from -c or standard input, or the shell.
func (a *app) runRoot(c *cobra.Command, args []string) error {
	code := c.Flags().Changed("code")
	if code && len(args) > 0 {
		return usage("-c CODE and - cannot both be the script")
	}
	if a.json && (a.stay || !code && len(args) == 0 && a.interactive()) {
		return usage("--json is for scripts, not for the shell")
	}
	if a.resume && (code || len(args) > 0 || !a.interactive()) {
		return usage("--resume is for the shell, not for scripts")
	}
	past, journal, err := a.toResume(c.Flags().Changed("seed"))
	if err != nil {
		return err
	}
	s, err := a.session()
	if err != nil {
		return err
	}
	defer s.Close()
	switch {
	case code:
		err = a.script(s, func(ctx context.Context) error { return s.Exec(ctx, "<command>", a.code) })
	case len(args) > 0 || !a.interactive():
		err = a.standardInput(s)
		if a.stay && !a.interactive() { // the end of the input has been seen
			return err
		}
	case a.resume:
		a.resumes = func(in lineReader) (string, error) { return a.bringBack(s, past, journal, in) }
		return a.shell(s)
	default:
		return a.shell(s)
	}
	if a.stay {
		return a.shell(s)
	}
	return err
}

// interactive says whether there is somebody to talk with: both streams are terminals.
func (a *app) interactive() bool { return isTerminal(a.in) && a.out.terminal }

// standardInput runs what comes from there as a script.
func (a *app) standardInput(s *lang.Session) error {
	if isTerminal(a.in) && a.err.terminal {
		fmt.Fprintln(a.err, "reading a script from the terminal; Ctrl-D at the start of a line ends it")
	}
	text, err := io.ReadAll(a.in)
	if err != nil {
		return failure{exitFailed, "standard input: " + err.Error()}
	}
	return a.script(s, func(ctx context.Context) error { return s.Exec(ctx, "<stdin>", string(text)) })
}

// shell is the conversation. It ends with Ctrl-D, and well.
func (a *app) shell(s *lang.Session) error {
	if !a.interactive() {
		return a.standardInput(s)
	}
	in, err := a.lineReader(s.Complete, true)
	if err != nil {
		return failure{exitFailed, err.Error()}
	}
	defer in.Close()
	a.banner()
	a.signals.wait(true)
	old := ""
	if a.resumes != nil {
		if old, err = a.resumes(in); err != nil {
			return err
		}
	}
	defer a.journalled(s, old)()
	if e, ok := in.(*editor); ok {
		a.draft = e.keepDrafts(s.Draft)
	}
	err = s.Interact(a.command, in)
	if err != nil {
		s.Report(err)
		return failure{code: exitFailed}
	}
	return nil
}

// command gives each command of the shell its context.
func (a *app) command() (context.Context, context.CancelFunc) {
	ctx, done := a.signals.command()
	return ctx, func() {
		done()
		a.progress.end()
	}
}

type lineReader interface {
	lang.LineReader
	Close()
}

// lineReader is the editor, or plain lines where the terminal understands nothing. What is typed is kept beyond the session, or not.
func (a *app) lineReader(complete func(line string, pos int, more string) lang.Completion, kept bool) (lineReader, error) {
	if a.raw == nil || a.getenv("TERM") == "dumb" {
		return newPlainReader(a.in, a.out, a.signals.idle), nil
	}
	screen := screen{
		in: a.in, out: a.out.w,
		size: func() (int, int) { return size(a.out.w, a.width) },
		raw:  a.raw.enter, plain: a.raw.restore,
		resized: &a.signals.resized,
	}
	path, err := historyPath(a.getenv)
	if !kept {
		path = ""
	}
	past := openHistory(path, err, a.says)
	e, err := newEditor(screen, past, newHighlighter(newLook(a.colored(a.out)), a.plainGlyphs()), complete)
	if err != nil {
		return nil, err
	}
	return e, nil
}

func (a *app) banner() {
	l := newLook(a.colored(a.out))
	fmt.Fprintf(a.out, "%s %s\n", paint(l.Keyword, "pulsewright"), version)
	fmt.Fprintln(a.out, paint(l.Faint, "help() for help, Tab completes, Ctrl-D leaves"))
}
