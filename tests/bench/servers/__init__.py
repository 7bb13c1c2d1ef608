"""Many servers before one database: desks that answer through a balancer, what goes wrong on the way, and what must hold all the same."""
