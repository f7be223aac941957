from django.urls import path

from .backups import views as backup_views
from .fields import echo_views
from .owner import program_views
from .owner import views as owner_views
from .people import account_views, badge_views, second_factor_views, sign_in_views, tablet_views
from .posts import draft_views, pending_post_views

app_name = "shop"
urlpatterns = [
    path("sign-in", sign_in_views.sign_in, name="sign_in"),
    path("sign-in/demo", sign_in_views.demo_sign_in, name="demo_sign_in"),
    path("sign-out", sign_in_views.sign_out, name="sign_out"),
    path("echo", echo_views.echo_length, name="echo"),
    path("draft", draft_views.draft, name="draft"),
    path("settings", owner_views.settings_page, name="settings"),
    path("program", program_views.program_page, name="program"),
    path("people", owner_views.people, name="people"),
    path("people/<int:pk>", owner_views.person, name="person"),
    path("people/<int:pk>/second-factor", second_factor_views.remove_second_factor, name="remove_second_factor"),
    path("people/<int:pk>/pin", badge_views.pin, name="pin"),
    path("people/<int:pk>/badge", badge_views.badge, name="badge"),
    path("code", second_factor_views.code, name="code"),
    path("second-factor", second_factor_views.second_factor_page, name="second_factor"),
    path("account", account_views.account, name="account"),
    path("account/password", account_views.password, name="password"),
    path("account/end-session", account_views.end_session, name="end_session"),
    path("pin", badge_views.my_pin, name="my_pin"),
    path("unsaved", pending_post_views.unsaved, name="pending_post"),
    path("who", tablet_views.who, name="who"),
    path("hand-over", tablet_views.hand_over, name="hand_over"),
    path("backups", backup_views.backups, name="backups"),
    path("backups/<str:name>", backup_views.backup_file, name="backup_file"),
    path("tablets", tablet_views.tablets, name="tablets"),
    path("tablets/<int:pk>/revoke", tablet_views.revoke, name="revoke"),
]
