package engine

import "embed"

// Guide holds the pages of the guide that belong to the engine: the medium, and the published checks.
//
//go:embed guide/*.md
var Guide embed.FS
