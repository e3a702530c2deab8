package main

import (
	"io"
	"os"
	"os/exec"
	"strings"
)

// pagerCommand is what shows long texts: $PAGER, if that is not set less; "" for nothing.
func pagerCommand(lookup func(string) (string, bool)) string {
	pager, ok := lookup("PAGER")
	if !ok {
		return "less -FRX"
	}
	if pager = strings.TrimSpace(pager); pager == "cat" {
		return ""
	}
	return pager
}

// page shows help or a table: through the pager if it does not fit on the terminal that out is.
func (a *app) page(text string) {
	_, rows := size(a.out.w, a.getenv)
	pager := pagerCommand(os.LookupEnv)
	if !a.out.terminal || pager == "" || strings.Count(text, "\n") < rows-1 || a.getenv("TERM") == "dumb" {
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
