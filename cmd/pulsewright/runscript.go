package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"pulsewright/lang"
	"pulsewright/scripts"

	"github.com/spf13/cobra"
)

func (a *app) runCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "run FILE [name=value…]",
		Short: "Run a script",
		Long: `Run runs the script in FILE; - is standard input. If there is no such file, an embedded script of that name will do
(pulsewright scripts lists them). What follows as name=value is for the script, which asks for it with arg("name").`,
		Example: `  pulsewright run scripts/harbour.star
  pulsewright run harbour berth=35
  pulsewright run -i mine.star`,
		Args: operands(1, -1),
		RunE: func(c *cobra.Command, args []string) error {
			if a.json && a.stay {
				return usage("--json is for scripts, not for the shell")
			}
			if done, err := a.outside(c, args[:1]); done {
				return err
			}
			s, err := a.session()
			if err != nil {
				return err
			}
			defer s.Close()
			err = a.runFile(s, args[0], args[1:])
			var f failure
			if a.stay && !(errors.As(err, &f) && f.code == exitUsage) {
				return a.shell(s)
			}
			return err
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return withPrefix(embedded("*.star"), word), cobra.ShellCompDirectiveDefault
		},
	}
	a.scriptFlags(c)
	a.untrustedFlags(c)
	c.Flags().Var(&a.portion, "portion", "do only one part of each survey and search, such as 3/16, and write it to a file for gather")
	return c
}

func (a *app) runFile(s *lang.Session, name string, args []string) error {
	if name == "-" {
		if len(args) > 0 {
			return usage("run -: a script from standard input takes no name=value")
		}
		return a.standardInput(s)
	}
	for _, arg := range args {
		if key, _, ok := strings.Cut(arg, "="); !ok || key == "" {
			return usage("run: %q is not name=value", arg)
		}
	}
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		return usage("run: %s is a folder; want a script", name)
	case errors.Is(err, fs.ErrNotExist):
		inside, ok := findEmbedded(name)
		if !ok {
			return usage("run: %s: no such file, and no embedded script of that name%s", name, meant(embeddedName(name), embedded("*.star"), ""))
		}
		return a.script(s, func(ctx context.Context) error { return s.ExecEmbedded(ctx, inside, args) })
	}
	return a.script(s, func(ctx context.Context) error { return s.ExecFile(ctx, name, args) })
}

// embeddedName is what an embedded script that the user calls name would be called: scripts/harbour.star and harbour are harbour.star.
func embeddedName(name string) string {
	name = strings.TrimPrefix(path.Clean(filepath.ToSlash(name)), "scripts/")
	if !strings.HasSuffix(name, ".star") {
		name += ".star"
	}
	return name
}

func findEmbedded(name string) (string, bool) {
	name = embeddedName(name)
	if !fs.ValidPath(name) {
		return "", false
	}
	info, err := fs.Stat(scripts.FS, name)
	return name, err == nil && !info.IsDir()
}
