from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from contest.health.banner import banner
from contest.web.revisions import nothing_new


@never_cache
@require_safe
def health(request):
    """What the machine has to say, for pages that are open: 204 while it is what they show."""
    now = banner()
    return nothing_new(request, now.version) or render(request, "contest/health/_health.html", {"banner": now})
