package main

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"pulsewright/scripts"

	"github.com/spf13/cobra"
)

func (a *app) scriptsCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "scripts [NAME]",
		Short: "List the embedded scripts, or print one",
		Long: `Scripts lists what is embedded, with the first line of its opening comment. With a NAME it prints that script, ready to
be put into a file of your own.`,
		Example: `  pulsewright scripts
  pulsewright scripts harbour > mine.star`,
		Args: operands(0, 1),
		RunE: func(c *cobra.Command, args []string) error {
			all := allEmbedded()
			if len(args) > 0 {
				name, ok := findEmbedded(args[0])
				if !ok {
					return usage("scripts: nothing embedded is called %q%s", args[0], meant(embeddedName(args[0]), all, ""))
				}
				text, err := fs.ReadFile(scripts.FS, name)
				if err != nil {
					return failure{exitFailed, err.Error()}
				}
				a.out.Write(text)
				return nil
			}
			widest := 0
			for _, name := range all {
				widest = max(widest, len(name))
			}
			for _, name := range all {
				fmt.Fprintf(a.out, "%-*s  %s\n", widest, name, about(name))
			}
			return nil
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			return withPrefix(allEmbedded(), word), cobra.ShellCompDirectiveNoFileComp
		},
	}
}

// embedded lists the embedded scripts that match a pattern, sorted, without the tests.
func embedded(pattern string) []string {
	names, _ := fs.Glob(scripts.FS, pattern) // the patterns are ours
	return slices.DeleteFunc(names, func(name string) bool { return strings.HasSuffix(name, "_test.star") })
}

// allEmbedded lists every embedded script, sorted within its folder, the top one first.
func allEmbedded() []string { return append(embedded("*.star"), embedded("lib/*.star")...) }

// about is the first line of a script's opening comment or docstring.
func about(name string) string {
	text, _ := fs.ReadFile(scripts.FS, name)
	return strings.Trim(firstLine(string(text)), "#\" ")
}

func withPrefix(names []string, prefix string) []string {
	var out []string
	for _, name := range names {
		if strings.HasPrefix(name, prefix) {
			out = append(out, name)
		}
	}
	return out
}
