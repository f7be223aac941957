from .checking.urls import urlpatterns as checking
from .grinding.urls import urlpatterns as grinding
from .inspecting.urls import urlpatterns as inspecting
from .pages.urls import urlpatterns as pages
from .photographs.urls import urlpatterns as photographs
from .planning.urls import urlpatterns as planning
from .registers.urls import urlpatterns as registers
from .setups.urls import urlpatterns as setups

app_name = "bench"
urlpatterns = [*registers, *setups, *photographs, *pages, *inspecting, *planning, *grinding, *checking]
