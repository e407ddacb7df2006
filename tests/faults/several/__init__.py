"""Any of several processes killed at random while everybody works: python -m tests.faults.several --seed 1

Two `serve` and two `work` on one PostgreSQL that waits for the disk, each with a data folder of its own. Helpers read
cards through both, papers are ordered, an announcer reveals and takes back awards, and boards look on, while one
process after another is killed (kill -9, of a `serve` sometimes only the process that serves) and begun again.

With `--hosts` each is on a host of its own, as is PostgreSQL, and files are in a bucket: network namespaces with wires
between them, made for this run (`hosts`). Then wires are cut as well, and hosts lose their power.

Counted at the end: what was acknowledged and is lost or doubled, papers that did not come or cannot be fetched from
both, boards that showed what was overtaken more than two seconds before, and how long anybody had to wait.
"""
