package lang

import (
	"embed"
	"io/fs"

	"pulsewright/builtins"
	"pulsewright/engine"
)

//go:embed guide/*.md
var guide embed.FS

// Guide finds a page of the guide, such as "medium"; each package keeps those that are about it.
func Guide(page string) (text string, ok bool) {
	for _, pages := range []fs.FS{guide, builtins.Guide, engine.Guide} {
		if text, err := fs.ReadFile(pages, "guide/"+page+".md"); err == nil {
			return string(text), true
		}
	}
	return "", false
}
