package main

import (
	"strings"

	"pulsewright/lang/steplog"

	"github.com/fatih/color"
)

// The values of --color.
var colorModes = []string{"auto", "always", "never"}

// colored decides whether one stream is coloured: the flag, then NO_COLOR, FORCE_COLOR and TERM=dumb, then whether the
// stream is a terminal.
func colored(mode string, getenv func(string) string, terminal bool) bool {
	switch {
	case mode == "always":
		return true
	case mode == "never" || getenv("NO_COLOR") != "":
		return false
	case getenv("FORCE_COLOR") != "" && getenv("FORCE_COLOR") != "0":
		return true
	case getenv("TERM") == "dumb":
		return false
	}
	return terminal
}

// asciiOnly says whether the locale rules out letters beyond ASCII: the first of LC_ALL, LC_CTYPE and LANG that is set decides.
func asciiOnly(getenv func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale := getenv(name); locale != "" {
			locale = strings.ToUpper(locale)
			return !strings.Contains(locale, "UTF-8") && !strings.Contains(locale, "UTF8")
		}
	}
	return true
}

// look is the command's own colours, as escapes that begin them; the zero value is plain text.
type look struct {
	Keyword, Text, Comment, Mark string // the line being typed
	Error, Faint                 string // messages
}

func newLook(on bool) look {
	return look{
		Keyword: opener(on, color.Bold),
		Text:    opener(on, color.FgCyan),
		Comment: opener(on, color.Faint),
		Mark:    opener(on, color.Faint),
		Error:   opener(on, color.Bold),
		Faint:   opener(on, color.Faint),
	}
}

const resetColor = "\x1b[0m"

// opener is the escape that begins a colour. The colour library decides for standard output only, and once: here each
// object is told.
func opener(on bool, attributes ...color.Attribute) string {
	c := color.New(attributes...)
	if !on {
		c.DisableColor()
	} else {
		c.EnableColor()
	}
	before, _, _ := strings.Cut(c.Sprint("|"), "|")
	return before
}

func paint(open, s string) string {
	if open == "" {
		return s
	}
	return open + s + resetColor
}

// palette is what a session's stream is coloured with.
func palette(on bool) steplog.Palette {
	if !on {
		return steplog.Palette{}
	}
	return steplog.Colours()
}
