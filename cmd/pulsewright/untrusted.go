package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"pulsewright/lang/confine"

	"github.com/spf13/cobra"
)

// untrusted is a stranger's script: it runs in a process of its own that takes no more than its limits.
type untrusted struct {
	on     bool
	folder string // where it may write; "": nowhere
	limits limits
	inside *confine.Inside // this is that process
}

// limits are confine.Limits as the command line says them.
type limits struct{ confine.Limits }

func (l *limits) String() string { return "" }
func (l *limits) Type() string   { return "N" }

func (l *limits) Set(text string) error {
	for _, pair := range strings.Split(text, ",") {
		name, value, _ := strings.Cut(pair, "=")
		bytes := map[string]*int64{"memory": &l.Memory, "output": &l.Output, "file": &l.File, "files": &l.Files}[name]
		n, err := strconv.Atoi(value)
		good := err == nil && n > 0 && n <= 1<<20
		switch {
		case name == "time":
			d, err := time.ParseDuration(value)
			if err != nil || d < time.Second/10 || d > 30*24*time.Hour {
				return errors.New("a time such as time=90s or time=10m")
			}
			l.Time = d
		case name == "count" && good:
			l.Count = n
		case bytes != nil && good:
			*bytes = int64(n) << 20
		case bytes != nil || name == "count":
			return fmt.Errorf("a whole number from 1 after %s=", name)
		default:
			names := []string{"time", "memory", "output", "file", "files", "count"}
			return errors.New("names of limits with numbers, such as time=10m,memory=2048: " + oneOf(names) + meant(name, names, ""))
		}
		if l.Memory < confine.LeastMemory {
			return fmt.Errorf("memory=%d or more", confine.LeastMemory>>20)
		}
	}
	return nil
}

// untrustedFlags are the flags of what may run a stranger's script.
func (a *app) untrustedFlags(c *cobra.Command) {
	a.untrusted.limits.Limits = confine.Default()
	a.untrusted.limits.Time = 0 // the usual one, of what is run
	c.Flags().BoolVar(&a.untrusted.on, "untrusted", false, "for scripts of strangers: in a process of its own that takes no more than its limits, reads scripts only and writes nothing")
	c.Flags().StringVar(&a.untrusted.folder, "writes", "", "let an untrusted script write files into the folder `DIR`")
	c.Flags().Var(&a.untrusted.limits, "limit", "limits of an untrusted script: time=1m,memory=1024,output=16,file=16,files=64,count=100 (MiB; one file, all files, how many)")
	c.MarkFlagDirname("writes")
}

// outside runs this command once more, confined, if it is asked to and this is not that process already.
func (a *app) outside(c *cobra.Command, paths []string) (done bool, err error) {
	if done, err := a.staysInside(c); done || err != nil {
		return err != nil, err
	}
	return true, a.confined(confine.Limits{}, paths, confine.Job{In: a.in, Out: a.out, Err: a.err})
}

// staysInside says whether nothing is to be confined here, or what is wrong with asking for it.
func (a *app) staysInside(c *cobra.Command) (bool, error) {
	u := &a.untrusted
	switch given := c.Flags().Changed; {
	case !u.on && (given("writes") || given("limit")):
		return true, usage("--writes and --limit are for scripts that are run with --untrusted")
	case !u.on || u.inside != nil:
		return true, nil
	case a.stay:
		return true, usage("--untrusted is for scripts, not for the shell")
	}
	return false, nil
}

// confined runs this command once more, with the limits that were given; of usual those are taken that were not.
func (a *app) confined(usual confine.Limits, paths []string, job confine.Job) error {
	a.saysMissing()
	ctx, over := a.signals.command()
	v, err := a.confine(ctx, usual, paths, job)
	over()
	switch {
	case err != nil:
		return err
	case v.Why == confine.Cancel:
		return failure{code: exitInterrupted}
	}
	return failure{v.Code, v.String()}
}

// saysMissing says what this system cannot hold.
func (a *app) saysMissing() {
	for _, text := range confine.Missing() {
		fmt.Fprintln(a.err, "pulsewright: --untrusted: "+text)
	}
}

// confine is confined until the process has ended.
func (a *app) confine(ctx context.Context, usual confine.Limits, paths []string, job confine.Job) (confine.Verdict, error) {
	l := a.untrusted.limits.Limits
	if l.Time == 0 {
		l.Time = cmp.Or(usual.Time, confine.Default().Time)
	}
	l.Folder, l.State, l.Reads = a.untrusted.folder, usual.State, append(folders(paths), a.library...)
	colour := "NO_COLOR=1"
	if a.colored(a.out) {
		colour = "FORCE_COLOR=1"
	}
	columns, _ := size(a.out.w, a.width)
	shown := []string{"--width", strconv.Itoa(max(columns, 20))} // what it writes comes through a pipe, and is shown here
	if a.plainGlyphs() {
		shown = append(shown, "--ascii")
	}
	job.Args, job.Env = append(shown, a.args...), append(job.Env, colour)
	a.out.Flush()
	v, err := confine.Run(ctx, l, job)
	if err != nil {
		return v, failure{exitFailed, "--untrusted: " + err.Error()}
	}
	return v, nil
}

// folders are those of scripts that are there.
func folders(paths []string) (list []string) {
	for _, path := range paths {
		info, err := os.Stat(path)
		switch {
		case err != nil:
		case info.IsDir():
			list = append(list, path)
		default:
			list = append(list, filepath.Dir(path))
		}
	}
	return list
}
