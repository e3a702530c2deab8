package lesson

import _ "embed"

// Template is a small lesson that shows all there is, to begin one's own with.
//
//go:embed template.star
var Template string
