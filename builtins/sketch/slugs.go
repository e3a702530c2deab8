package sketch

import "pulsewright/engine"

// seat is a slug that is drawn in a cell.
type seat struct {
	slug  engine.Slug
	at    Place
	own   bool // a shuttle of the drawing has its seat there
	asked int  // how many have, of those whose slug the legend does not say
}

// seat reads (f) or [f]: a slug in a cell that holds no part, a shuttle's own or a loose one.
func (r *reader) seat(m, c, end rune, cell engine.Cell, place func(int) Place) error {
	slug, ok := slugOf(m)
	switch {
	case m == ' ':
		return underWay(Transit, place(0))
	case !ok:
		return wrong(place(1), "%q is no slug, want p, f or b between brackets: a plug, a feed or a bridge", m)
	case c == Forced:
		return underWay(c, place(2))
	case c != end:
		return wrong(place(2), "%q behind a slug, want %q", c, end)
	case end == ']':
		r.loose(cell, slug, place(1))
		return nil
	}
	r.sit(cell, slug, place(1))
	return nil
}

func (r *reader) loose(cell engine.Cell, slug engine.Slug, at Place) {
	r.plan.Loose = append(r.plan.Loose, Slug{cell, slug, at})
}

func (r *reader) sit(cell engine.Cell, slug engine.Slug, at Place) {
	if r.seats == nil {
		r.seats = map[engine.Cell]*seat{}
	}
	r.seats[cell] = &seat{slug: slug, at: at}
}

// slugs gives the slugs that are drawn to the shuttles whose seats they sit in.
func (r *reader) slugs() error {
	shuttles := func(do func(t *Tile, s *seat) error) error {
		for i := range r.plan.Tiles {
			if t := &r.plan.Tiles[i]; t.Kind == engine.Shuttle {
				if s := r.seats[t.seat()]; s != nil {
					if err := do(t, s); err != nil {
						return err
					}
				}
			}
		}
		return nil
	}
	if len(r.seats) == 0 {
		return nil
	}
	shuttles(func(t *Tile, s *seat) error {
		if !t.said {
			s.asked++
		} else if t.Slug == s.slug {
			s.own = true
		}
		return nil
	})
	if err := shuttles(func(t *Tile, s *seat) error {
		switch {
		case t.said || s.own:
		case s.asked > 1:
			return wrong(s.at, "a slug in the seat of %d shuttles, want the legend to say whose it is: slug=%q at the cell of one", s.asked, s.slug)
		default:
			t.Slug, s.own = s.slug, true
		}
		return nil
	}); err != nil {
		return err
	}
	var lost *seat
	for _, s := range r.seats {
		if !s.own && (lost == nil || s.at.before(lost.at)) {
			lost = s
		}
	}
	if lost != nil {
		return wrong(lost.at, "a %v, but no shuttle of this drawing has its seat there: one cell in front of it if it is home, two if it is out; a loose one is drawn [%c]", lost.slug, lost.slug.String()[0])
	}
	return nil
}

// seat is the cell in which the slug of a shuttle sits.
func (t *Tile) seat() engine.Cell {
	d := t.Facing.Cell()
	if t.Out {
		d = d.Add(d)
	}
	return t.Cell.Add(d)
}
