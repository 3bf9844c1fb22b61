"""The equations: pure functions of floats or NumPy arrays, in SI units.

One module for each subject. A module here imports NumPy and its neighbours in this
package, nothing else: no units library, no web, no files. Coefficients that belong to
a table arrive as arguments; constants that belong to an equation stand beside it.

========================  ==========================================================
``draft``                 pull a ground tool needs
``power``                 drawbar, shaft, hydraulic, electric and rotary power
``tire``                  size designation to width, diameter and section height
``tire_load``             what a tire carries at a pressure, and how far it deflects
``traction``              what a wheel can push: mobility number, gross and net traction
``tracks``                what rubber tracks can pull, by surface and slip
``axle_loads``            what each axle carries under pull, on a grade
``slip``                  the slip at which a tractor pulls what it must
``fuel``                  diesel for a load
``capacity``              area an hour
``hydraulics``            oil of motors and cylinders, and heat at the pump
``hitch``                 weight on hitch, axles and tires in transport
``system``                what a chain of passes on the same land adds up to
``match``                 all of the above for one tractor on one implement
``search``                the greatest value that keeps a limit, for any function
``reach``                 how far speed, width and depth can go
``ballast``               how heavy a tractor should be for a pull, and how split
``soil_stress``           stress in the soil under a tire, with depth
``odds``                  chances and spreads from what is uncertain
``calibration``           what field runs say of draft and soil
``completion``            the chance of enough suitable days, and what a delay costs
``season``                what a season's plan is made of, and what a field, a day and a machine allow
``season_program``        its bound, as a linear program: least lateness, then least cost
``season_daily``          its bound by day, and which choices are worth looking at
``season_days``           lists of work carried out day by day
``season_plan``           the search for good lists
``years``                 the chance of enough suitable days, from recorded years
``soil_water``            days fit for work from daily weather: water, warmth and frost
``daylight``              how long the day is
``hierarchy``             what runs on several fields say of each, and of the next
``cost_minimum``          where a cost that falls and rises is least, for any function
``cost``                  owning, running, parts that wear, and cost against width
========================  ==========================================================
"""
