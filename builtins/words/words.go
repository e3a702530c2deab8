// Package words joins the words of all rooms below builtins into the one table. Whoever runs scripts imports it, so that no word is
// missing; nobody else does. It may use every room that has words.
package words

import (
	"pulsewright/builtins"
	"pulsewright/builtins/calibrate"
	"pulsewright/builtins/differ"
	"pulsewright/builtins/expand"
	"pulsewright/builtins/help"
	"pulsewright/builtins/inspect"
	"pulsewright/builtins/invent"
	"pulsewright/builtins/join"
	"pulsewright/builtins/keep"
	"pulsewright/builtins/lag"
	"pulsewright/builtins/measure"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/play"
	"pulsewright/builtins/sketch"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/tables"
	"pulsewright/builtins/tell"
	"pulsewright/builtins/trial"
	"pulsewright/builtins/wave"
	"pulsewright/builtins/why"
	"pulsewright/builtins/world"
)

func init() {
	builtins.Join(help.Words(), why.Words(), picture.Words(), wave.Words(), tell.Words(), trial.Words(), survey.Words(), tables.Words(), lag.Words(), expand.Words(), measure.Words(), play.Words(), differ.Words(), join.Words(), keep.Words(), inspect.Words(), observe.Words(), sketch.Words(), world.Words(), calibrate.Words(), invent.Words())
}
