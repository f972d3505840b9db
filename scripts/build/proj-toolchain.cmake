# How the bundled PROJ is compiled (named in .cargo/config.toml): several sources to a unit, light optimisation.
# No compiler or system is named here, so that the machine's own are used.
set(CMAKE_UNITY_BUILD ON)
set(CMAKE_C_FLAGS_RELEASE "-O1 -DNDEBUG" CACHE STRING "for the bundled PROJ")
set(CMAKE_CXX_FLAGS_RELEASE "-O1 -DNDEBUG" CACHE STRING "for the bundled PROJ")
