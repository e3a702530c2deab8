// Package scripts holds the example scripts and the library of designs, embedded.
package scripts

import "embed"

// FS holds every script: NAME.star at the top, the library under lib/.
//
//go:embed *.star lib/*.star
var FS embed.FS
