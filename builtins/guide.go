package builtins

import "embed"

// Guide holds the pages of the guide that belong to the words: the words themselves, sketches, joining, kinds, worlds, experiments, portions.
//
//go:embed guide/*.md
var Guide embed.FS
