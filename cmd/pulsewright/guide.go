package main

import (
	"embed"
	"fmt"
	"slices"
	"strings"

	"pulsewright/lang"

	"github.com/spf13/cobra"
)

//go:embed guide/*.md
var ownPages embed.FS

// guidePages are the pages of the guide in the order in which one would read them.
var guidePages = []string{"command", "language", "words", "sketches", "joining", "kinds", "worlds", "medium", "play", "break", "experiments", "invention", "lag", "lessons", "portions", "limits", "strangers", "checks"}

// guidePage is the text of a page, in Markdown.
func guidePage(name string) (string, bool) {
	if !slices.Contains(guidePages, name) {
		return "", false
	}
	if text, err := ownPages.ReadFile("guide/" + name + ".md"); err == nil {
		return string(text), true
	}
	return lang.Guide(name)
}

func (a *app) guideCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "guide [PAGE]",
		Short: "Show a page of the guide, or list them",
		Long: `Guide shows a page of the guide: page by page on a terminal, plain text on a pipe. Without a PAGE it lists the pages with
what they are about.`,
		Example: `  pulsewright guide
  pulsewright guide medium`,
		Args: operands(0, 1),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				for _, name := range guidePages {
					text, _ := guidePage(name)
					fmt.Fprintf(a.out, "%-11s  %s\n", name, strings.TrimPrefix(firstLine(text), "# "))
				}
				return nil
			}
			text, ok := guidePage(args[0])
			if !ok {
				return usage("guide: there is no page %q, want one of %s%s", args[0], oneOf(guidePages), meant(args[0], guidePages, ""))
			}
			if a.plainGlyphs() {
				text = asciiPage(text)
			}
			w, _ := size(a.out.w, a.width)
			heading := func(text string) string { return text }
			if a.colored(a.out) {
				l := newLook(true)
				heading = func(text string) string { return paint(l.Keyword, text) }
			}
			a.page(readable(text, min(w, 100), heading))
			return nil
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			return withPrefix(guidePages, word), cobra.ShellCompDirectiveNoFileComp
		},
	}
}
