"""Physical constants, SI. Values from memory of the standards' tables unless a source is named."""

ICE_POINT = 273.15  # K
GAS_CONSTANT_VAPOUR = 8.314462618 / 0.01801528  # J/(kg K), CODATA R over the molar mass of water
GAS_CONSTANT_DRY_AIR = 287.055  # J/(kg K)
MOLAR_MASS_RATIO = 0.621945  # water over dry air
WATER_DENSITY = 1000.0  # kg/m3
WATER_HEAT_CAPACITY = 4187.0  # J/(kg K)
ICE_HEAT_CAPACITY = 2100.0  # J/(kg K)
VAPOUR_HEAT_CAPACITY = 1859.0  # J/(kg K)
DRY_AIR_HEAT_CAPACITY = 1006.0  # J/(kg K)
LATENT_HEAT_EVAPORATION = 2.5009e6  # J/kg at 0 degC (ASHRAE Fundamentals 2021, ch. 1, table 3)
LATENT_HEAT_FUSION = 333.4e3  # J/kg at 0 degC (same table, by difference)
STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4), CODATA
STANDARD_PRESSURE = 101325.0  # Pa
STILL_AIR_PERMEABILITY = 1.95e-10  # kg/(m s Pa), about 10 degC (Schirmer, from memory)
GRAVITY = 9.80665  # m/s2
