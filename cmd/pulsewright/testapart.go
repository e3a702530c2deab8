package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"

	"pulsewright/lang"
	"pulsewright/lang/confine"
)

// testApart tests each file in a process of its own: what one of them takes too much of, the others have still.
func (a *app) testApart(paths []string, asJSON bool) func(context.Context, string) (lang.Counted, error) {
	return func(ctx context.Context, file string) (n lang.Counted, err error) {
		if err := lang.CheckName(file); err != nil { // before it goes to the process, where it would be another
			return lang.Counted{Trouble: err.Error()}, nil
		}
		out := &counting{w: a.out, json: asJSON, headed: !asJSON}
		v, err := a.confine(ctx, confine.Limits{}, paths, confine.Job{In: a.in, Out: out, Err: a.err, Only: file})
		if err != nil {
			return n, err
		}
		known := false
		switch {
		case v.Why == confine.Cancel:
			return n, failure{exitInterrupted, "interrupted"}
		case v.Why == confine.Ended:
			n, known = out.count(v.Code)
		}
		if !known {
			out.rest()
			n = lang.Counted{Trouble: v.String() + "; none of its tests is counted"}
			if v.Why == confine.Ended {
				n.Trouble = fmt.Sprintf("it ended with exit code %d; none of its tests is counted", v.Code)
			}
		}
		return n, nil
	}
}

// counting passes on what the process for one file says of it, but for what is said of all files: the head of JSON Lines, and the
// last line, which counts. A script cannot write that one: the process says nothing after it.
type counting struct {
	w      io.Writer
	json   bool
	headed bool   // the head has gone by
	held   []byte // the last line, or what there is of it
}

func (c *counting) Write(b []byte) (int, error) {
	c.held = append(c.held, b...)
	return len(b), c.pass(bytes.LastIndexByte(c.held[:max(len(c.held)-1, 0)], '\n') + 1)
}

// pass passes on so many bytes of what is held, whole lines.
func (c *counting) pass(n int) error {
	lines := c.held[:n]
	c.held = c.held[n:]
	if !c.headed && n > 0 {
		_, lines, _ = bytes.Cut(lines, []byte("\n"))
		c.headed = true
	}
	_, err := c.w.Write(lines)
	return err
}

// count reads the last line, which is there if the file had tests and the process ended with a code that agrees with it.
func (c *counting) count(code int) (n lang.Counted, ok bool) {
	var err error
	switch {
	case c.json:
		err = json.Unmarshal(c.held, &n)
	case len(c.held) > 0:
		_, err = fmt.Sscanf(string(c.held), "%d passed, %d failed\n", &n.Passed, &n.Failed)
	}
	return n, err == nil && (n.Failed > 0) == (code == exitFailed) && (n.Failed > 0 || code == 0)
}

// rest passes on what is held of a process that was stopped.
func (c *counting) rest() {
	switch whole := bytes.HasSuffix(c.held, []byte("\n")); {
	case len(c.held) == 0 || c.json && !whole: // half a line is no JSON
		return
	case !whole:
		c.held = append(c.held, '\n')
	}
	c.pass(len(c.held))
}
