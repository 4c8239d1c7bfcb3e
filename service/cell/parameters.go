package cell

import (
	"math"
	"strconv"
)

// Parameters lists the values of the chemistry by name, each with its source;
// what does not exist for it is left out.
func (c *Chemistry) Parameters() []Constant {
	list := []Constant{
		{"nominal_cell_v", "v", "nominal voltage of a cell", c.NominalV},
		{"full_cell_v", "v", "end-of-charge voltage of a cell", c.FullV},
		{"storage_cell_v", "v", "resting voltage of a cell at storage charge", c.StorageV},
		{"safe_start_cell_v", "v", "resting voltage below which a charge begins at the recovery rate", c.SafeStartV},
		{"floor_cell_v", "v", "resting voltage below which a cell must not be charged", c.FloorV},
		{"loaded_floor_cell_v", "v", "voltage under load below which a cell must not be run", c.LoadedFloor},
		{"curve_uncertainty_v", "v", "how far the open-circuit curve may be off", c.CurveFrom},
		{"typical_resistance", "ohm ampere hour", "ac_1khz resistance times capacity", c.Typical},
		{"rated_sag_v", "v", "voltage lost over the ac_1khz resistance of a new cell at its printed discharge rate", c.RatedSagV},
		{"polarization_factor", "ratio", "what is added to an ac_1khz reading for the quasi-steady value, as a multiple of it", c.PolarFactor},
		{"polarization_time_s", "s", "time constant of that part", c.PolarTime},
		{"recovery_c_rate", "c_rate", "rate of the recovery phase", c.RecoveryC},
		{"default_charge_c_rate", "c_rate", "charge rate where the label prints none", c.DefaultC},
		{"most_sold_c_rate", "c_rate", "highest charge rate the chemistry is ever sold for", c.MostSoldC},
		{"balance_tolerance_v", "v", "spread of rested cells at which balancing ends", c.ToleranceV},
		{"life_days", "days", "usual calendar life", c.LifeDays},
		{"specific_energy", "joule per kilogram", "of a pack", c.EnergyJKg},
		{"self_discharge_low", "ratio per month", "least share of its charge that a cell loses in a month", c.Leak.Low},
		{"self_discharge", "ratio per month", "share of its charge that a cell loses in a month", c.Leak.Typical},
		{"self_discharge_high", "ratio per month", "most of its charge that a cell loses in a month", c.Leak.High},
		{"drop_v", "v", "fall of a cell's voltage from its peak that ends a fast charge", c.Fast.DropV},
		{"slope_half_c", "k per second", "temperature slope that ends a charge at 0.5 C", c.Fast.SlopeHalfC},
		{"slope_one_c", "k per second", "temperature slope that ends a charge at 1 C", c.Fast.SlopeOneC},
		{"cutoff_degc", "degc", "pack temperature that ends any charge", c.Fast.CutoffDegC},
		{"ignore_first_s", "s", "time at the start in which a voltage drop means nothing", c.Fast.IgnoreFirst},
		{"most_fast_c_rate", "c_rate", "highest rate of a fast charge", c.Fast.MostC},
		{"least_fast_c_rate", "c_rate", "lowest rate at which the voltage drop can be trusted", c.Fast.LeastC},
		{"fast_input", "ratio", "charge in for each charge stored, at a fast rate", c.Fast.FastInput},
		{"standard_c_rate", "c_rate", "standard charge rate", c.Fast.StandardC},
		{"standard_input", "ratio", "charge in for each charge stored, at the standard rate", c.Fast.StandardInput},
		{"mean_charge_v", "v", "mean voltage of a cell under charge", c.Fast.ChargeV},
		{"reversible_v", "v", "reversible voltage of a cell", c.Fast.RestV},
	}
	kept := list[:0]
	for _, x := range list {
		if x.Value != 0 {
			kept = append(kept, x)
		}
	}
	for i, p := range c.NominalAltV {
		kept = append(kept, Constant{"nominal_cell_v_" + strconv.Itoa(i+1), "v", "another nominal voltage that labels print", p})
	}
	for i, z := range c.Zones {
		if !math.IsInf(z.MostC, 1) {
			kept = append(kept, Constant{"zone_" + strconv.Itoa(i) + "_c_rate", "c_rate", "highest charge rate in a zone of cell temperature", Param{z.MostC, z.Source}})
		}
	}
	return kept
}

// ZoneIndex is the index of the zone a cell temperature lies in.
func (c *Chemistry) ZoneIndex(degC float64) int {
	for i, z := range c.Zones {
		if degC < z.ToDegC || degC == z.ToDegC && degC > roomDegC {
			return i
		}
	}
	return -1
}
