package main

import (
	_ "embed"
	"fmt"
	"runtime"
	"strings"

	"github.com/spf13/cobra"
)

const version = "0.1.0"

// licences are those of everything that is linked. TestLicences makes them from the list of modules.
//
//go:embed licences.txt
var licences string

func (a *app) versionCommand() *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Args:  operands(0, 0),
		RunE: func(c *cobra.Command, args []string) error {
			if all {
				a.page(strings.TrimSuffix(licences, "\n"))
				return nil
			}
			fmt.Fprintf(a.out, "pulsewright %s (%s, %s/%s)\n", version, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return nil
		},
	}
	c.Flags().BoolVar(&all, "licences", false, "print the licences of all that is linked into the command")
	return c
}

// helpCommand is help for a command by its name.
func (a *app) helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Show the help of a command",
		Args:  operands(0, 1),
		RunE: func(c *cobra.Command, args []string) error {
			root := c.Root()
			if len(args) == 0 {
				return root.Help()
			}
			var names []string
			for _, sub := range root.Commands() {
				if sub.Name() == args[0] {
					return sub.Help()
				}
				names = append(names, sub.Name())
			}
			return usage("help: unknown command %q%s", args[0], meant(args[0], names, ""))
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, sub := range c.Root().Commands() {
				names = append(names, sub.Name())
			}
			return withPrefix(names, word), cobra.ShellCompDirectiveNoFileComp
		},
	}
}
