"""Fields as polygons: from longitude and latitude to the passes of a machine.

Between the engine and the interface: plain functions of NumPy arrays and shapely polygons, in
metres and radians on a plane, with no web, no wire format and no units library. Only this package
knows shapely and pyproj. Whoever needs it imports it when it is needed: loading PROJ takes a
tenth of a second.

========================  ==========================================================
``earth``                 longitude and latitude to a local plane of equal area and back
``outline``               what is wrong with the rings of a polygon; the polygon they make
``headland``              laps round the edge, and what they leave
``strips``                what is left cut into strips: passes, turns and ways, for many directions at once
``plan``                  the direction that takes least time, and where the time goes
========================  ==========================================================
"""
