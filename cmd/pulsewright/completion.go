package main

import (
	"github.com/spf13/cobra"
)

var completionShells = []string{"bash", "zsh", "fish", "powershell"}

func (a *app) completionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "completion bash|zsh|fish|powershell",
		Short: "Print a script that lets a shell complete pulsewright's commands",
		Long:  "Completion prints a script for your system's shell; once that has read it, Tab completes commands, flags and scripts.",
		Example: `  source <(pulsewright completion bash)
  pulsewright completion fish > ~/.config/fish/completions/pulsewright.fish`,
		Args:      operands(1, 1),
		ValidArgs: completionShells,
		RunE: func(c *cobra.Command, args []string) error {
			root := c.Root()
			switch args[0] {
			case "bash":
				return root.GenBashCompletionV2(a.out, true)
			case "zsh":
				return root.GenZshCompletion(a.out)
			case "fish":
				return root.GenFishCompletion(a.out, true)
			case "powershell":
				return root.GenPowerShellCompletionWithDesc(a.out)
			}
			return usage("completion: got %q, want %s%s", args[0], oneOf(completionShells), meant(args[0], completionShells, ""))
		},
	}
}
