package measure

import (
	"fmt"

	"pulsewright/builtins/picture"
	"pulsewright/builtins/trial"
)

// draw makes the map: of a slice placed alone if it is known, else of the whole.
func (s *sheet) draw(l *trial.Bay, size int) (err error) {
	var t *trial.Rigged
	s.MapOf = "the whole, as posed"
	if l.Sized {
		s.MapOf = fmt.Sprintf("the whole of size %d, as posed", size)
	}
	if l.Slice != nil {
		s.MapOf = "a slice, as posed"
		t, err = sliceAlone(l)
	} else {
		t, err = l.Pose(l.One(), size)
	}
	if err != nil {
		return err
	}
	m, err := picture.WholeChart(t.Env)
	if err != nil {
		return err
	}
	if m.Tall() {
		if m, err = picture.SideChart(t.Env); err != nil {
			return err
		}
		s.MapOf += ", seen from the side"
	}
	t.Env.Width = 100
	s.Map = m.Text()
	if m.Parts() <= picture.SvgTiles {
		s.mapSVG = m.Svg()
	}
	return nil
}
