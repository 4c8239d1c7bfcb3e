package rule

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Facts is what the rules look at: the documents as they were given, because
// absence matters to a rule, and what a question has already computed from
// them. A computed fact that is nil is a missing one.
type Facts struct {
	Pack         *spec.Pack
	Charger      *spec.Charger      // nil where the question has none
	Surroundings *spec.Surroundings // nil where the question has none
	IdleDays     *float64
	AsOf         spec.Date
	Chemistries  *cell.Table
	Chemistry    *cell.Chemistry // of the pack

	// Planning says that the question is a charge plan, whose deadline and charge
	// are worked out.
	Planning bool
	// Current is the charge current to be judged: the one asked for, or the
	// one the plan arrived at.
	Current *Given
	// EndCellV is the end-of-charge voltage of a cell to be judged.
	EndCellV *Given
	// ProgramChemistry and ProgramCells are what is set on the charger.
	ProgramChemistry spec.Chemistry
	ProgramCells     *int

	// Running is what the question worked out about a load.
	Running *Running
	// Charging is what the question worked out about the current.
	Charging *Charging
	// Storing is what a storage plan worked out about a discharge.
	Storing *Storing
	// Moving is what a question about moving packs worked out about this one.
	Moving *MovingFacts
	// Draining is what the question worked out about a pack that is left.
	Draining *Draining
}

// Given is a value and the JSON Pointer at which it stands.
type Given struct {
	Value float64
	At    string
	Asked bool // a person asked for it, rather than the plan arriving at it
}

// Charging is what a question has worked out about the charge current.
type Charging struct {
	LabelA       float64 // what the label, or common practice, allows
	LabelPrinted bool    // the label prints it
	SafeA        float64 // what is safe whatever the charger can do
	SafeBecause  string  // which limit that is
	RecoveryA    float64 // the current to begin with; 0 where no cell is deeply discharged
	SmallestA    float64 // the charger's smallest current
	StepA        float64 // the step in which it is set; 0 where it is fixed
	WithoutPower float64 // the current without regard to charger and supply power
	PowerA       float64 // what the charger's power allows at the end voltage; 0 where not known
	SupplyA      float64 // what the supply's power allows at the end voltage; 0 where not known
	SupplyNeedW  float64 // what the current without regard to the supply draws from it
	DeadlineMin  float64 // 0 where none was asked for
	EarliestMin  float64 // the earliest time that is sure, where the deadline cannot be met; else 0
	NothingToDo  bool    // the pack already rests at or near the target
	UnseenHighV  float64 // where the highest cell would rest after a charge that sees only the sum; 0 where the cells are seen
	ExpectedMin  float64 // the expected time; 0 where none was worked out
	PeakDegC     float64 // the highest temperature of the pack during the charge; 0 where none was worked out
}

// highestRested and lowestRested are the extremes of the rested cells: of the
// cell voltages, or the pack voltage shared evenly.
func (f *Facts) highestRested() rested {
	return f.extreme(func(a, b float64) bool { return a > b })
}

func (f *Facts) lowestRested() rested {
	return f.extreme(func(a, b float64) bool { return a < b })
}

// rested is a rested cell voltage and where it stands: the index of the cell,
// or -1 for the pack voltage.
type rested struct {
	v    float64
	cell int
}

// what is the cell, or the average that stands for it.
func (r rested) what() string {
	if r.cell < 0 {
		return "the cells rest on average at"
	}
	return "a cell rests at"
}

func (r rested) at() string {
	if r.cell < 0 {
		return "/pack/pack_voltage_v"
	}
	return "/pack/cell_voltages_v/" + strconv.Itoa(r.cell)
}

func (f *Facts) extreme(beats func(a, b float64) bool) rested {
	list := f.Pack.CellVoltagesV
	if len(list) == 0 {
		return rested{*f.Pack.PackVoltageV / float64(f.Pack.CellsSeries), -1}
	}
	best := rested{list[0], 0}
	for j, x := range list {
		if beats(x, best.v) {
			best = rested{x, j}
		}
	}
	return best
}

// spreadV is the highest less the lowest rested cell; the cell voltages are
// given.
func (f *Facts) spreadV() float64 {
	return f.highestRested().v - f.lowestRested().v
}

// restedPackV is the rested voltage of the pack, and whether it is known.
func (f *Facts) restedPackV() (float64, bool) {
	if f.Pack.PackVoltageV != nil {
		return *f.Pack.PackVoltageV, true
	}
	sum := 0.0
	for _, v := range f.Pack.CellVoltagesV {
		sum += v
	}
	return sum, len(f.Pack.CellVoltagesV) > 0
}

// temperatures are the coldest and the warmest the cells may be: the pack's
// own and that of the room it will take on.
func (f *Facts) temperatures() (cold, hot float64) {
	pack, room := f.Pack.TemperatureDegC, f.roomDegC()
	switch {
	case pack == nil:
		return *room, *room
	case room == nil:
		return *pack, *pack
	}
	return min(*pack, *room), max(*pack, *room)
}

// Temperatures are the coldest and the warmest the cells may be, and whether
// either is known.
func Temperatures(f *Facts) (cold, hot float64, known bool) {
	if f.Pack.TemperatureDegC == nil && f.roomDegC() == nil {
		return 0, 0, false
	}
	cold, hot = f.temperatures()
	return cold, hot, true
}

func (f *Facts) roomDegC() *float64 {
	if f.Surroundings == nil {
		return nil
	}
	return f.Surroundings.AmbientDegC
}

// DeeplyDischarged reports whether a cell was measured below the safe-start
// voltage, so that the charge begins at the recovery rate.
func DeeplyDischarged(f *Facts) bool {
	known := len(f.Pack.CellVoltagesV) > 0 || f.Pack.PackVoltageV != nil
	return known && lithium(f) && f.lowestRested().v < f.Chemistry.SafeStartV.Value
}
