package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/invent"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/whole"
	"pulsewright/lang"

	"github.com/spf13/cobra"
)

// portion is one part of a survey or a search as the command line says it: 3/16 is the third of sixteen.
type portion struct{ builtins.Portion }

func (s *portion) String() string {
	if s.Count == 0 {
		return ""
	}
	return fmt.Sprintf("%d/%d", s.Index, s.Count)
}

func (s *portion) Type() string { return "N" }

func (s *portion) Set(text string) error {
	index, all, ok := strings.Cut(text, "/")
	i, err := strconv.Atoi(index)
	n, err2 := strconv.Atoi(all)
	if !ok || err != nil || err2 != nil || i < 1 || n < i || n > 1_000_000 {
		return errors.New("a part and how many there are, such as 3/16")
	}
	s.Portion = builtins.Portion{Index: i, Count: n}
	return nil
}

func (a *app) gatherCommand() *cobra.Command {
	script, over := "", false
	c := &cobra.Command{
		Use:   "gather FILE…",
		Short: "Put the portions of a survey or a search together",
		Long: `Gather reads the files that run --portion has written, all portions of one survey or of one search, and prints what it would
have printed in one run.`,
		Example: `  pulsewright run mine.star --portion 1/2
  pulsewright run mine.star --portion 2/2
  pulsewright gather survey-*.jsonl`,
		Args: operands(1, -1),
		RunE: func(c *cobra.Command, files []string) error {
			for _, file := range files {
				info, err := os.Stat(file)
				if errors.Is(err, fs.ErrNotExist) {
					return usage("gather: %s: no such file; run --portion writes them", file)
				}
				if err == nil && !info.Mode().IsRegular() {
					return usage("gather: %s is no file; run --portion writes them", file)
				}
			}
			if _, err := os.Lstat(script); script != "" && !over && err == nil {
				return usage("gather: %s is there already; take another name, or replace it with --over", script)
			}
			text, counterexample, err := gatherPortions(c.Context(), files)
			if err != nil {
				return failure{exitFailed, "gather: " + err.Error()}
			}
			fmt.Fprintln(a.out, text)
			if script != "" && counterexample != "" {
				if err := writeFile(script, counterexample); err != nil {
					return failure{exitFailed, "gather: " + err.Error()}
				}
				fmt.Fprintf(a.err, "wrote %s: the smallest counterexample\n", script)
			}
			return nil
		},
	}
	c.Flags().StringVar(&script, "script", "", "write the smallest counterexample, if there is one, to `FILE`")
	c.Flags().BoolVar(&over, "over", false, "let --script replace a file that is there already")
	return c
}

// gatherPortions is what a survey would have printed, and its smallest counterexample, or what a search would have printed.
func gatherPortions(ctx context.Context, files []string) (text, counterexample string, err error) {
	if data, err := os.ReadFile(files[0]); err == nil && invent.IsSearch(data) {
		text, err := invent.GatherSearch(files)
		return text, "", err
	}
	return survey.GatherSurvey(ctx, files, lang.Try)
}

// writeFile writes a text to a file, whole or not at all.
func writeFile(path, text string) error {
	dir, err := os.OpenRoot(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer dir.Close()
	return whole.Replace(dir, filepath.Base(path), func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}
