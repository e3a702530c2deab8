// Package scripts holds the example scripts, the library of designs and the lessons, embedded. It may use nothing of ours.
package scripts

import "embed"

// FS holds every script: NAME.star at the top, the library under lib/, and the lessons under lessons/ with course.txt, their order.
//
//go:embed *.star lib/*.star lessons
var FS embed.FS
