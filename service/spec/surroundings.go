package spec

import "strconv"

// Surroundings is where and how the charge happens.
type Surroundings struct {
	// AmbientDegC is the temperature of the room or bench in degrees Celsius, -60 to 100.
	AmbientDegC *float64 `json:"ambient_degc,omitempty" validate:"omitempty,gte=-60,lte=100"`
	// Attended says whether somebody stays with the charge until it ends.
	Attended *bool `json:"attended,omitempty"`
	// Enclosure is what the pack stands in.
	Enclosure Enclosure `json:"enclosure,omitempty" validate:"omitempty,enum"`
	// Surface is what the pack stands on.
	Surface Surface `json:"surface,omitempty" validate:"omitempty,enum"`
	// ParallelBoard lists the other packs joined to this one on a parallel charging board, at most 15. The plan is then for all of them together.
	ParallelBoard []Pack `json:"parallel_board,omitzero" validate:"omitempty,max=15,dive"`
}

// Check reports contradictions between the fields of the surroundings found
// at the JSON Pointer at.
func (s *Surroundings) Check(at string, r *Report) {
	for i := range s.ParallelBoard {
		s.ParallelBoard[i].Check(at+"/parallel_board/"+strconv.Itoa(i), r)
	}
}
