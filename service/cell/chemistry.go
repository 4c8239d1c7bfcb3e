// Package cell knows the chemistries: their voltages, limits, open-circuit
// curves, resistance and heat, each with its source beside it. It also turns
// the documents of package spec into models in SI units that package sim can
// compute on.
package cell

import "github.com/wattkeel/wattkeel/service/spec"

// DataVersion is the version of the values in this package. It changes with
// any of them.
const DataVersion = "2026.11.2"

// Param is one value with its source.
type Param struct {
	Value  float64
	Source spec.Source
}

// Chemistry holds the values of one cell chemistry. A parameter whose value is
// zero does not exist for it: nimh has no end voltage.
type Chemistry struct {
	Name spec.Chemistry

	NominalV    Param     // nominal voltage of a cell
	NominalAltV []Param   // other nominal voltages that labels print
	FullV       Param     // end-of-charge voltage of a cell
	StorageV    Param     // resting voltage of a cell at storage charge
	SafeStartV  Param     // resting voltage below which a charge begins at the recovery rate
	FloorV      Param     // resting voltage below which a cell must not be charged
	LoadedFloor Param     // voltage under load below which a cell must not be run
	Zones       []Zone    // charge temperatures, coldest first
	Curve       *Curve    // open-circuit voltage against charge; nil where none is usable
	NoCurve     string    // why there is none
	CurveFrom   Param     // how far the curve may be off, in volts, and its source
	CurveNote   string    // an assumption made in the curve, to be told with it
	Typical     Param     // ac_1khz resistance times capacity, in ohm ampere hours
	RatedSagV   Param     // voltage lost over the ac_1khz resistance of a new cell at its printed discharge rate
	PolarFactor Param     // what is added to an ac_1khz reading for the quasi-steady value, as a multiple of it
	PolarTime   Param     // time constant of that part, in seconds
	RecoveryC   Param     // rate of the recovery phase
	DefaultC    Param     // charge rate where the label prints none
	MostSoldC   Param     // highest charge rate the chemistry is ever sold for
	ToleranceV  Param     // spread of rested cells at which balancing ends
	LifeDays    Param     // usual calendar life, in days
	EnergyJKg   Param     // specific energy of a pack, in joules per kilogram
	Leak        Leak      // self-discharge
	Fast        FastLimit // how a nimh fast charge ends
}

// Zone is a range of cell temperatures and the charge rate allowed in it.
type Zone struct {
	FromDegC, ToDegC float64 // the edge between two zones belongs to the one nearer to room temperature; ±Inf where open
	MostC            float64 // highest rate: 0 forbids charging, +Inf leaves it to the label
	Source           spec.Source
}

// FastLimit is how a fast charge of nickel-metal hydride ends.
type FastLimit struct {
	DropV         Param // fall of a cell's voltage from its peak
	SlopeHalfC    Param // temperature slope at 0.5 C, in kelvin per second
	SlopeOneC     Param // temperature slope at 1 C, in kelvin per second
	CutoffDegC    Param // pack temperature that ends any charge
	IgnoreFirst   Param // seconds at the start without meaning
	MostC         Param // highest rate of a fast charge
	LeastC        Param // lowest rate at which the voltage drop can be trusted
	FastInput     Param // charge in for each charge stored, at a fast rate
	StandardC     Param // standard charge rate
	StandardInput Param // charge in for each charge stored, at the standard rate
	ChargeV       Param // mean voltage of a cell under charge
	RestV         Param // reversible voltage of a cell
}

// ZoneAt returns the zone a cell temperature lies in.
func (c *Chemistry) ZoneAt(degC float64) Zone {
	if i := c.ZoneIndex(degC); i >= 0 {
		return c.Zones[i]
	}
	return Zone{}
}

// Table holds every chemistry, built once.
type Table struct{ all []*Chemistry }

// NewTable builds the chemistries.
func NewTable() *Table {
	return &Table{all: []*Chemistry{lipo(), lihv(), liion(), lifepo4(), nimh()}}
}

// All lists the chemistries in the order of spec.Chemistry.
func (t *Table) All() []*Chemistry { return t.all }

// Get returns one chemistry, or nil when there is none of that name.
func (t *Table) Get(name spec.Chemistry) *Chemistry {
	for _, c := range t.all {
		if c.Name == name {
			return c
		}
	}
	return nil
}
