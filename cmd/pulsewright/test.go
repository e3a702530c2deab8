package main

import (
	"errors"
	"regexp"
	"strings"

	"pulsewright/lang"

	"github.com/spf13/cobra"
)

func (a *app) testCommand() *cobra.Command {
	var pattern string
	var verbose, asJSON bool
	c := &cobra.Command{
		Use:   "test [PATH…]",
		Short: "Run the tests in *_test.star files",
		Long: `Test runs every function test_… of the files given, or of the files *_test.star below the folders given (without a PATH:
below this one). Each runs on a fresh bench. If no tests are found, that is wrong usage.
A file that cannot be read as a script fails, and the others run; so does one that takes more than --untrusted allows a file.

With --json the first line holds format, version and seed; then one line a test has file, test and passed, and if it failed where, message,
hint, got and want, as far as there are any; the last line holds the numbers passed and failed.`,
		Example: `  pulsewright test
  pulsewright test repeater_test.star --run width -v`,
		Args: operands(0, -1),
		RunE: func(c *cobra.Command, args []string) error {
			match, err := regexp.Compile(pattern)
			if err != nil {
				return usage("--run: %s", strings.TrimPrefix(err.Error(), "error parsing regexp: "))
			}
			o := lang.TestOptions{Run: match, Verbose: verbose, JSON: asJSON}
			here, err := a.staysInside(c)
			switch inside := a.untrusted.inside; {
			case err != nil:
				return err
			case !here:
				a.saysMissing()
				o.Apart = a.testApart(tested(args), asJSON)
			case inside != nil:
				args = []string{inside.Only}
			}
			ctx, done := a.signals.command()
			defer done()
			passed, failed, err := lang.RunTests(ctx, a.config(), args, o)
			a.progress.end()
			var f failure
			switch {
			case errors.As(err, &f):
				return f
			case err != nil && lang.Interrupted(err) && a.untrusted.inside != nil:
				return failure{code: exitInterrupted} // the process outside says why
			case err != nil && lang.Interrupted(err):
				return failure{exitInterrupted, "interrupted"}
			case err != nil:
				return failure{exitUsage, "test: " + firstLine(err.Error())}
			case passed+failed == 0 && a.untrusted.inside != nil:
				return nil // other files may have some
			case passed+failed == 0 && pattern != "":
				return usage("test: no tests found that match %q", pattern)
			case passed+failed == 0:
				return usage("test: no tests found; they are functions test_… in files *_test.star")
			case failed > 0:
				return failure{code: exitFailed}
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return []string{"star"}, cobra.ShellCompDirectiveFilterFileExt
		},
	}
	c.Flags().StringVar(&pattern, "run", "", "only tests whose name matches this regular expression")
	c.Flags().BoolVar(&asJSON, "json", false, "write the results as JSON Lines, and nothing else, to standard output")
	a.untrustedFlags(c)
	c.Flags().BoolVarP(&verbose, "verbose", "v", false, "name each test as it runs")
	return c
}

// tested is where tests are looked for: below this folder, if nothing else is said.
func tested(paths []string) []string {
	if len(paths) == 0 {
		return []string{"."}
	}
	return paths
}
