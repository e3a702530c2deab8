package main

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"pulsewright/builtins"

	"github.com/spf13/cobra"
)

// shard is one part of a survey as the command line says it: 3/16 is the third of sixteen.
type shard struct{ builtins.Shard }

func (s *shard) String() string {
	if s.Count == 0 {
		return ""
	}
	return fmt.Sprintf("%d/%d", s.Index, s.Count)
}

func (s *shard) Type() string { return "N" }

func (s *shard) Set(text string) error {
	index, all, ok := strings.Cut(text, "/")
	i, err := strconv.Atoi(index)
	n, err2 := strconv.Atoi(all)
	if !ok || err != nil || err2 != nil || i < 1 || n < i || n > 1_000_000 {
		return errors.New("a part and how many there are, such as 3/16")
	}
	s.Shard = builtins.Shard{Index: i, Count: n}
	return nil
}

func (a *app) mergeCommand() *cobra.Command {
	script := ""
	c := &cobra.Command{
		Use:   "merge FILE…",
		Short: "Put the shards of a survey together",
		Long: `Merge reads the files that run --shard has written, all shards of one survey, and prints what the survey would have
printed in one run.`,
		Example: `  pulsewright run mine.star --shard 1/2
  pulsewright run mine.star --shard 2/2
  pulsewright merge survey-*.jsonl`,
		Args: operands(1, -1),
		RunE: func(c *cobra.Command, files []string) error {
			text, counterexample, err := builtins.MergeSurvey(files)
			if err != nil {
				return failure{exitFailed, "merge: " + err.Error()}
			}
			fmt.Fprintln(a.out, text)
			if script != "" && counterexample != "" {
				if err := os.WriteFile(script, []byte(counterexample), 0o644); err != nil {
					return failure{exitFailed, "merge: " + err.Error()}
				}
			}
			return nil
		},
	}
	c.Flags().StringVar(&script, "script", "", "write the smallest counterexample, if there is one, to `FILE`")
	return c
}
