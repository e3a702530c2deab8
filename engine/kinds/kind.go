package kinds

// Kind is a kind of part.
type Kind uint8

// The kinds of part. What belongs to a kind stands in its row of the table, in its cases of the switches of the engine's kind.go, and in the
// engine's file of its name; elsewhere only what has numbers of its own, acts, conducts, or moves slugs or tokens is known by name. Bare is a
// cell without a part that matters all the same: the seat of a slug, or a cell that is forced.
const (
	Bare Kind = iota
	Battery
	Key
	Wire
	Jack
	Lamp
	Reed
	Link
	Shuttle
	Delay
	Oneshot
	Echo
	Gate
	Bucket
	Tray
	Chute
	Meter
	Told // a kind of a script's own: what it is stands in its Spec
	kinds
)

// String returns the kind as scripts write it.
func (k Kind) String() string { return traits[k].Name }

// Kinds lists the built-in kinds of part, battery first.
func Kinds() []Kind {
	ks := make([]Kind, 0, Told-1)
	for k := Battery; k < Told; k++ {
		ks = append(ks, k)
	}
	return ks
}

// ParseKind reads the name of a kind of part.
func ParseKind(s string) (Kind, bool) {
	for k := Battery; k < Told; k++ {
		if traits[k].Name == s {
			return k, true
		}
	}
	return 0, false
}

// traits has a row for each kind. Which cells it reads, who may tell it, what it feeds, where cords may start and end is read from
// here: by placing, by power and news, by those who explain, and by those who draw.
var traits = [...]Trait{
	Bare:    {Name: "cell", Tells: true},
	Battery: {Name: "battery", Feeds: FeedsAround, CordFrom: true, Shows: ShowsAlways},
	Key:     {Name: "key", Feeds: FeedsAround, Tells: true, CordFrom: true, Words: [2]What{Off, On}},
	Wire:    {Name: "wire", Conducts: true, Tells: true, CordFrom: true, CordTo: true, Words: [2]What{Dead, Live}},
	Jack:    {Name: "jack", Conducts: true, Tells: true, CordFrom: true, CordTo: true, Words: [2]What{Dead, Live}},
	Lamp:    {Name: "lamp", Hears: HearsAtOnce, Pads: AroundPad, Given: true, CordFrom: true, CordTo: true, Arms: true, Words: [2]What{Dark, Lit}},
	Reed:    {Name: "reed", Faces: true, Hears: HearsAtOnce, Pads: RearPads, Given: true, Far: FarBack, Tells: true, CordFrom: true, CordTo: true, Arms: true, Words: [2]What{Off, On}},
	Link:    {Name: "link", Faces: true, Hears: HearsLazily, Pads: RearPads, Given: true, Far: FarBack, Tells: true, CordFrom: true, CordTo: true, Arms: true, Words: [2]What{Home, Out}},
	Shuttle: {Name: "shuttle", Faces: true, Hears: HearsLazily, Pads: RearPads, Given: true, Far: FarBack, Tells: true, CordFrom: true, CordTo: true, Arms: true, Words: [2]What{Home, Out}},
	Delay:   {Name: "delay", Faces: true, Hears: HearsAtOnce, Pads: BackPad, Given: true, Feeds: FeedsFront, Tells: true, CordFrom: true, CordTo: true, Arms: true, Timed: true, Usual: 1, Words: [2]What{Off, On}},
	Oneshot: {Name: "oneshot", Faces: true, Hears: HearsAtOnce, Pads: BackPad, Given: true, Feeds: FeedsFront, Tells: true, CordFrom: true, CordTo: true, Arms: true, Timed: true, Usual: 1, Words: [2]What{Off, On}},
	Echo:    {Name: "echo", Faces: true, Hears: HearsBehind, Pads: BackPad, Given: true, Feeds: FeedsFront, Tells: true, CordFrom: true, CordTo: true, Words: [2]What{Off, On}},
	Gate:    {Name: "gate", Faces: true, Hears: HearsLazily, Pads: RearPads, Given: true, Feeds: FeedsFront, Tells: true, CordFrom: true, CordTo: true, Arms: true, Timed: true, Words: [2]What{Off, On}},
	Bucket:  {Name: "bucket", Faces: true, Hears: HearsAtOnce, Pads: RearPads, Given: true, Far: FarDown, CordFrom: true, CordTo: true, Shows: ShowsToken, Down: true},
	Tray:    {Name: "tray", Feeds: FeedsAround, Tells: true, CordFrom: true, Shows: ShowsTokens},
	Chute:   {Name: "chute", Faces: true, Hears: HearsAtOnce, Pads: SidePads, Given: true, CordTo: true, Arms: true, Timed: true, Usual: 3, Shows: ShowsBusy},
	Meter:   {Name: "meter", Faces: true, Hears: HearsAtOnce, Pads: BackPad, Feeds: FeedsFront, Tells: true, CordFrom: true, CordTo: true, Arms: true, Shows: ShowsLevel},
	Told:    {Name: "kind", Faces: true, Hears: HearsAtOnce, Tells: true, CordFrom: true, CordTo: true, Arms: true},
}

// One row a kind, neither more nor fewer.
var (
	_ [len(traits) - int(kinds)]struct{}
	_ [int(kinds) - len(traits)]struct{}
)

// KindCount is how many kinds there are, bare cells among them, so that tables elsewhere can be held to it.
const KindCount = int(kinds)

// Traits gives the table, by kind.
func Traits() [KindCount]Trait { return traits }

// Trait is what all parts of this kind have in common.
func (k Kind) Trait() Trait { return traits[k] }
