package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func (a *app) manCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "man",
		Short:   "Print the manual page",
		Long:    "Man prints the manual page, made from the same table of commands as --help.",
		Example: "  pulsewright man | man -l -",
		Args:    operands(0, 0),
		RunE: func(c *cobra.Command, args []string) error {
			manual(a.out, c.Root())
			return nil
		},
	}
}

// manual writes the page in the man macros.
func manual(w io.Writer, root *cobra.Command) {
	fmt.Fprintf(w, ".TH PULSEWRIGHT 1 \"\" \"pulsewright %s\"\n", version)
	fmt.Fprintf(w, ".SH NAME\npulsewright \\- %s\n", troff(strings.ToLower(root.Short[:1])+root.Short[1:]))
	fmt.Fprintf(w, ".SH SYNOPSIS\n.B pulsewright\n[\\fIflags\\fR] [\\fIcommand\\fR]\n")
	fmt.Fprintf(w, ".SH DESCRIPTION\n%s\n", troff(root.Long))
	fmt.Fprintf(w, ".SH COMMANDS\n")
	for _, c := range root.Commands() {
		if c.Hidden {
			continue
		}
		fmt.Fprintf(w, ".TP\n.B %s\n%s.\n", troff(strings.TrimPrefix(strings.TrimSuffix(c.UseLine(), " [flags]"), root.Name()+" ")), troff(c.Short))
		if c.Long != "" {
			fmt.Fprintf(w, ".RS\n.PP\n%s\n.RE\n", troff(c.Long))
		}
		writeFlags(w, c.LocalNonPersistentFlags(), true)
	}
	fmt.Fprintf(w, ".SH FLAGS\n")
	writeFlags(w, root.LocalFlags(), false)
	fmt.Fprintf(w, ".SH EXIT STATUS\n")
	for _, e := range [][2]string{{"0", "done"}, {"1", "the script or a test failed"}, {"2", "wrong usage"}, {"130", "interrupted"}} {
		fmt.Fprintf(w, ".TP\n.B %s\n%s\n", e[0], e[1])
	}
	fmt.Fprintf(w, ".SH ENVIRONMENT\n")
	for _, e := range [][2]string{
		{"NO_COLOR", "not empty: no colours"},
		{"FORCE_COLOR", "not empty and not 0: colours also where the output is no terminal"},
		{"PAGER", "shows help and tables that do not fit on the screen; empty or cat: nothing does"},
		{"LC_ALL, LC_CTYPE, LANG", "the first that is set decides whether letters beyond ASCII are shown on a terminal"},
		{"XDG_STATE_HOME", "where the history of the shell is kept, in pulsewright/history; else ~/.local/state"},
	} {
		fmt.Fprintf(w, ".TP\n.B %s\n%s\n", e[0], troff(e[1]))
	}
	fmt.Fprintf(w, ".SH EXAMPLES\n.EX\n%s\n.EE\n", troff(root.Example))
}

func writeFlags(w io.Writer, flags *pflag.FlagSet, nested bool) {
	if nested {
		fmt.Fprintf(w, ".RS\n")
	}
	flags.VisitAll(func(f *pflag.Flag) {
		if f.Hidden || nested && f.Name == "help" {
			return
		}
		value, usage := pflag.UnquoteUsage(f) // the name of its value stands in backticks
		name := strings.TrimSpace("--" + f.Name + " " + value)
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", " + name
		}
		fmt.Fprintf(w, ".TP\n.B %s\n%s\n", troff(name), troff(usage))
	})
	if nested {
		fmt.Fprintf(w, ".RE\n")
	}
}

// troff is text that the formatter takes literally.
func troff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`, "…", "...").Replace(text)
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
