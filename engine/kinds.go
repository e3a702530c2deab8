package engine

import "pulsewright/engine/kinds"

// What there is to build with stands in a room of its own; these are its names here.
type (
	Cell    = kinds.Cell
	Dir     = kinds.Dir
	Kind    = kinds.Kind
	Trait   = kinds.Trait
	Hears   = kinds.Hears
	Pads    = kinds.Pads
	FarPad  = kinds.FarPad
	Feeding = kinds.Feeding
	Shows   = kinds.Shows
	Slug    = kinds.Slug
	Grip    = kinds.Grip
	Op      = kinds.Op
	Mode    = kinds.Mode
	What    = kinds.What
	Spec    = kinds.Spec
	SpecDef = kinds.SpecDef
	Look    = kinds.Look
	Groups  = kinds.Groups
	Feeds   = kinds.Feeds
	Tells   = kinds.Tells
	Teller  = kinds.Teller
)

// Limits.
const (
	Limit       = kinds.Limit
	KindCount   = kinds.KindCount
	MaxTicks    = kinds.MaxTicks
	MaxReach    = kinds.MaxReach
	MaxStates   = kinds.MaxStates
	MaxTable    = kinds.MaxTable
	MaxSpecCord = kinds.MaxSpecCord
)

// The directions, in the default neighbour order.
const (
	PosX, NegX = kinds.PosX, kinds.NegX
	PosY, NegY = kinds.PosY, kinds.NegY
	PosZ, NegZ = kinds.PosZ, kinds.NegZ
)

// The kinds of part.
const (
	Bare, Battery, Key, Wire, Jack   = kinds.Bare, kinds.Battery, kinds.Key, kinds.Wire, kinds.Jack
	Lamp, Reed, Link, Shuttle        = kinds.Lamp, kinds.Reed, kinds.Link, kinds.Shuttle
	Delay, Oneshot, Echo, Gate       = kinds.Delay, kinds.Oneshot, kinds.Echo, kinds.Gate
	Bucket, Tray, Chute, Meter, Told = kinds.Bucket, kinds.Tray, kinds.Chute, kinds.Meter, kinds.Told
)

// What belongs to a kind.
const (
	HearsNot, HearsLazily, HearsAtOnce, HearsBehind = kinds.HearsNot, kinds.HearsLazily, kinds.HearsAtOnce, kinds.HearsBehind
	NoPads, BackPad, SidePads, RearPads, AroundPad  = kinds.NoPads, kinds.BackPad, kinds.SidePads, kinds.RearPads, kinds.AroundPad
	NoFar, FarBack, FarDown                         = kinds.NoFar, kinds.FarBack, kinds.FarDown
	FeedsNothing, FeedsAround, FeedsFront           = kinds.FeedsNothing, kinds.FeedsAround, kinds.FeedsFront
	ShowsState, ShowsAlways, ShowsLevel             = kinds.ShowsState, kinds.ShowsAlways, kinds.ShowsLevel
	ShowsToken, ShowsTokens, ShowsBusy              = kinds.ShowsToken, kinds.ShowsTokens, kinds.ShowsBusy
	NoSlug, Plug, Feed, Bridge                      = kinds.NoSlug, kinds.Plug, kinds.Feed, kinds.Bridge
	NoGrip, Push, PushBack                          = kinds.NoGrip, kinds.Push, kinds.PushBack
	Buf, Not, And, Or, Nand, Nor, Xor, Xnor         = kinds.Buf, kinds.Not, kinds.And, kinds.Or, kinds.Nand, kinds.Nor, kinds.Xor, kinds.Xnor
	Maj, Hold, Latch                                = kinds.Maj, kinds.Hold, kinds.Latch
	Stretch, Transport, Inertial                    = kinds.Stretch, kinds.Transport, kinds.Inertial
)

// The words of the log.
const (
	Forced, Freed, Nudged          = kinds.Forced, kinds.Freed, kinds.Nudged
	On, Off, Out, Home             = kinds.On, kinds.Off, kinds.Out, kinds.Home
	Lapses, Blocked, Lands         = kinds.Lapses, kinds.Blocked, kinds.Lands
	Live, Dead, Lit, Dark          = kinds.Live, kinds.Dead, kinds.Lit, kinds.Dark
	Passes, Drops, Moves, Consumes = kinds.Passes, kinds.Drops, kinds.Moves, kinds.Consumes
	Level, Enters, ActiveState     = kinds.Level, kinds.Enters, kinds.ActiveState
)

// What kinds of a script's own are told.
const (
	Now, NextStep                          = kinds.Now, kinds.NextStep
	BackCell, FrontCell, SideCells         = kinds.BackCell, kinds.FrontCell, kinds.SideCells
	FarBackCell, FarFrontCell, AroundCells = kinds.FarBackCell, kinds.FarFrontCell, kinds.AroundCells
	TellsAround, TellsFront, TellsNone     = kinds.TellsAround, kinds.TellsFront, kinds.TellsNone
	ByBack, ByFront, BySide, ByAround      = kinds.ByBack, kinds.ByFront, kinds.BySide, kinds.ByAround
	ByCord, ByNudge, ByItself, ByDue       = kinds.ByCord, kinds.ByNudge, kinds.ByItself, kinds.ByDue
)

// Kinds lists the built-in kinds of part, battery first.
func Kinds() []Kind { return kinds.Kinds() }

// ParseKind reads the name of a kind of part.
func ParseKind(s string) (Kind, bool) { return kinds.ParseKind(s) }

// ParseDir reads a direction as scripts write it.
func ParseDir(s string) (Dir, bool) { return kinds.ParseDir(s) }

// DirOf returns the direction of a step of one cell, if c is one.
func DirOf(c Cell) (Dir, bool) { return kinds.DirOf(c) }

// ParseSlug reads the name of a slug.
func ParseSlug(s string) (Slug, bool) { return kinds.ParseSlug(s) }

// ParseGrip reads the name of a grip.
func ParseGrip(s string) (Grip, bool) { return kinds.ParseGrip(s) }

// ParseOp reads the name of what a gate computes.
func ParseOp(s string) (Op, bool) { return kinds.ParseOp(s) }

// Ops lists what a gate can compute.
func Ops() []string { return kinds.Ops() }

// ParseMode reads the name of a delay's mode.
func ParseMode(s string) (Mode, bool) { return kinds.ParseMode(s) }

// ParseWhat reads a word of the log.
func ParseWhat(s string) (What, bool) { return kinds.ParseWhat(s) }

// NewSpec makes a kind of a script's own: wants is asked once for each combination, and answers with the number of the state it
// would have, or -1 for as it is.
func NewSpec(d SpecDef, wants func(Look) (int, error)) (*Spec, error) { return kinds.NewSpec(d, wants) }
