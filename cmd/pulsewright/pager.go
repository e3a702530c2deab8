package main

import (
	"io"
	"os"
	"os/exec"
	"strings"
)

// usualPager is less, which ends by itself if all fits and leaves the text on the screen. Its foot says which keys there are: ":" tells a newcomer nothing.
const usualPager = "less -FRX -P'?ethe end; .q ends this, space goes on, b goes back'"

// pagerCommand is what shows long texts: $PAGER, if that is not set less; "" for nothing.
func pagerCommand(lookup func(string) (string, bool)) string {
	pager, ok := lookup("PAGER")
	if !ok {
		return usualPager
	}
	if pager = strings.TrimSpace(pager); pager == "cat" {
		return ""
	}
	return pager
}

// page shows help or a table: through the pager if it does not fit on the terminal that out is.
func (a *app) page(text string) {
	columns, rows := size(a.out.w, a.width)
	pager := pagerCommand(os.LookupEnv)
	if !a.out.terminal || pager == "" || rowsOf(text, columns) < rows || a.getenv("TERM") == "dumb" {
		io.WriteString(a.out, text)
		return
	}
	a.progress.erase()
	a.signals.passOver(true) // Ctrl-C is the pager's
	defer a.signals.passOver(false)
	c := exec.Command("sh", "-c", pager)
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(text), os.Stdout, os.Stderr
	if err := c.Start(); err != nil {
		io.WriteString(a.out, text)
		return
	}
	if err := c.Wait(); err != nil && c.ProcessState.ExitCode() == 127 { // there is no such command
		io.WriteString(a.out, text)
	}
}

// rowsOf is how many rows of a terminal a text takes, with the one for the next prompt.
func rowsOf(text string, columns int) (rows int) {
	for line := range strings.SplitSeq(text, "\n") {
		rows += max(1, (width(stripColor(line))+columns-1)/columns)
	}
	return rows
}
