package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"pulsewright/builtins/say"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// choice is a flag that takes one of a few words.
type choice struct {
	allowed []string
	value   string
}

func (c *choice) String() string { return c.value }
func (c *choice) Type() string   { return "when" }
func (c *choice) Set(word string) error {
	for _, w := range c.allowed {
		if w == word {
			c.value = word
			return nil
		}
	}
	return errors.New(oneOf(c.allowed) + meant(word, c.allowed, ""))
}

// workers is a number that is not negative.
type workers int

func (w *workers) String() string { return strconv.Itoa(int(*w)) }
func (w *workers) Type() string   { return "N" }
func (w *workers) Set(text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > 1<<16 {
		return errors.New("a whole number from 0")
	}
	*w = workers(n)
	return nil
}

// lineWidth is a number of columns; 0: the usual one.
type lineWidth int

func (w *lineWidth) String() string { return strconv.Itoa(int(*w)) }
func (w *lineWidth) Type() string   { return "N" }
func (w *lineWidth) Set(text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > 0 && n < 20 || n > 10_000 {
		return errors.New("a whole number from 20 to 10000, or 0")
	}
	*w = lineWidth(n)
	return nil
}

// oneOf is "a, b or c".
func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// meant is "; did you mean …?" with the nearest word, "" if none is near. Prefix stands in front of the word.
func meant(word string, among []string, prefix string) string {
	if near := say.Nearest(word, among); near != "" {
		return fmt.Sprintf("; did you mean %s%s?", prefix, near)
	}
	return ""
}

// flagError tells in one line what is wrong with the flags.
func flagError(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var invalid *pflag.InvalidValueError
	var missing *pflag.ValueRequiredError
	switch {
	case errors.Is(err, pflag.ErrHelp):
		return err
	case errors.As(err, &unknown):
		name := unknown.GetSpecifiedName()
		if short := unknown.GetSpecifiedShortnames(); short != "" {
			return usage("unknown flag -%s%s", name, see(c))
		}
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		hint := meant(name, names, "--")
		if hint == "" {
			hint = see(c)
		}
		return usage("unknown flag --%s%s", name, hint)
	case errors.As(err, &invalid):
		f := invalid.GetFlag()
		want := "a whole number"
		switch f.Value.Type() {
		case "when", "N":
			want = invalid.Unwrap().Error()
		case "bool":
			want = "true or false"
		}
		return usage("--%s: got %q, want %s", f.Name, invalid.GetValue(), want)
	case errors.As(err, &missing):
		return usage("--%s wants a value", missing.GetFlag().Name)
	}
	return usage("%s", firstLine(err.Error()))
}

// see points to the help of a command.
func see(c *cobra.Command) string { return fmt.Sprintf("; %s --help lists them", c.CommandPath()) }

func firstLine(text string) string {
	text, _, _ = strings.Cut(text, "\n")
	return text
}

// complete offers words for a flag to the system's own shell.
func complete(c *cobra.Command, flag string, words ...string) {
	c.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
}

// operands checks how many there are: from least to most, any number if most is negative. What they are called is in the usage line.
func operands(least, most int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return usage("%s: too few words; usage: %s", c.Name(), c.UseLine())
		case most >= 0 && len(args) > most:
			return usage("%s: %q is one word too many; usage: %s", c.Name(), args[most], c.UseLine())
		}
		return nil
	}
}
